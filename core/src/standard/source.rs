//! Where values and checks come from, and whether anybody saw the page.

/// How well a published value is known here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
#[repr(u8)]
pub enum Evidence {
    /// Read in a published text.
    Seen,
    /// Some entries read, the rest from memory of the standard.
    PartlySeen,
    /// From memory of the standard; nobody here saw the page.
    FromMemory,
    /// Derived here from first principles or from other entries.
    Computed,
    /// A fact of the trade without a published source.
    CommonPractice,
    /// Chosen by this project; not a published value.
    OwnChoice,
}

impl Evidence {
    /// The words people read.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Seen => "seen",
            Self::PartlySeen => "seen in part, the rest from memory",
            Self::FromMemory => "from memory",
            Self::Computed => "computed",
            Self::CommonPractice => "common practice, no source",
            Self::OwnChoice => "chosen by this project",
        }
    }
}

/// A standard, the place in it, and the evidence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Source {
    /// Standard and edition, or another publication.
    pub standard: &'static str,
    /// Table or clause.
    pub place: &'static str,
    /// How well it is known.
    pub evidence: Evidence,
}

macro_rules! sources {
    ($( $(#[$doc:meta])* $name:ident: $standard:literal, $place:literal, $evidence:ident; )*) => {
        /// Names one source, in a byte.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        #[cfg_attr(feature = "defmt", derive(defmt::Format))]
        #[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
        #[non_exhaustive]
        #[repr(u8)]
        pub enum SourceId {
            $( $(#[$doc])* $name, )*
        }

        impl SourceId {
            /// Every source.
            pub const ALL: &'static [Self] = &[ $( Self::$name, )* ];

            /// The full reference. Text: costs flash where it is used.
            pub const fn source(self) -> Source {
                match self {
                    $( Self::$name => Source {
                        standard: $standard,
                        place: $place,
                        evidence: Evidence::$evidence,
                    }, )*
                }
            }
        }
    };
}

sources! {
    /// A fact of the trade.
    CommonPractice: "the trade", "common practice", CommonPractice;
    /// What the builder asked for.
    Entered: "the builder", "entered value", OwnChoice;
    /// A default that this project chose.
    ProjectDefault: "orangeloom", "project default", OwnChoice;
    /// Cable build invented for builders without a datasheet.
    GenericGeometry: "orangeloom", "generic cable build (invented)", OwnChoice;
    /// Conductor resistance of solid and stranded copper and aluminium.
    Iec60228Class2: "IEC 60228:2004", "Tables 1 and 2", Seen;
    /// Conductor resistance of flexible copper.
    Iec60228Class5: "IEC 60228:2004", "Table 3", Seen;
    /// Strands of flexible conductors.
    Iec60228StrandDiameter: "IEC 60228:2004", "Table 3, largest strand diameter", FromMemory;
    /// Conductor resistance of road-vehicle cables.
    Iso6722: "ISO 6722-1:2011, kept by ISO 19642", "conductor table", FromMemory;
    /// American wire gauge by its defining formula.
    AstmB258: "ASTM B258", "formula d = 0.127 mm * 92^((36-n)/39)", Seen;
    /// Resistance of an AWG or kcmil strand of unstated class.
    AwgStrand: "ASTM B258 area, IEC 60228:2004 Table 3 allowance", "largest R20 S / rho of class 5", Computed;
    /// Resistance of an aluminium AWG or kcmil strand of unstated class.
    AwgStrandAluminium: "ASTM B258 area, IEC 60228:2004 Tables 1 and 2 allowance", "largest R20 S / rho of classes 1 and 2", Computed;
    /// Conductor heat balance, thermal resistances, surface coefficients.
    Iec60287: "IEC 60287-1-1:2014 and 60287-2-1", "heat balance and clause 4", FromMemory;
    /// Resistivity and temperature coefficient of conductor metals.
    Iec60287Conductor: "IEC 60287-1-1:2014", "Table 1", PartlySeen;
    /// Surface coefficients Z, E, g of cables in air.
    Iec60287Surface: "IEC 60287-2-1", "Table 2", FromMemory;
    /// Constants U, V, Y of cables in tubes.
    Iec60287Tube: "IEC 60287-2-1", "clause 4.2.7", FromMemory;
    /// Thermal resistivity and heat capacity of insulations and jackets.
    Iec60287Insulation: "IEC 60287-2-1", "Table 1", FromMemory;
    /// Skin effect.
    Iec60287Skin: "IEC 60287-1-1:2014", "clause 2.1.2", PartlySeen;
    /// Free convection around a horizontal cylinder.
    ChurchillChu: "Churchill & Chu, Int. J. Heat Mass Transfer 18 (1975) 1049", "equation for all Ra", PartlySeen;
    /// Free convection at vertical and horizontal plates.
    PlateConvection: "Churchill & Chu, Int. J. Heat Mass Transfer 18 (1975) 1323; McAdams, Heat Transmission (1954)", "vertical plate for all Ra; horizontal plates", FromMemory;
    /// The way of the boundary layer as the length of any body in free convection.
    BodyConvection: "Lienhard, Int. J. Heat Mass Transfer 16 (1973) 2121", "length of travel of the boundary layer", FromMemory;
    /// Free convection between two vertical plates.
    ChannelConvection: "Bar-Cohen & Rohsenow, J. Heat Transfer 106 (1984) 116", "equal temperatures of both plates", FromMemory;
    /// What two parallel strips see of each other.
    StripView: "radiation between parallel strips", "crossed strings and uniform radiosity", Computed;
    /// Air viscosity and conductivity.
    UsStandardAtmosphere: "US Standard Atmosphere 1976", "viscosity and conductivity formulas", FromMemory;
    /// Pressure over altitude.
    Isa: "ISO 2533 (ICAO standard atmosphere)", "troposphere formula", FromMemory;
    /// Ambient factors.
    Iec60364Ambient: "IEC 60364-5-52", "Table B.52.14", PartlySeen;
    /// Grouping factors.
    Iec60364Grouping: "IEC 60364-5-52", "Table B.52.17", Seen;
    /// Current-carrying capacities in free air.
    Iec60364FreeAir: "IEC 60364-5-52", "Table B.52.12", PartlySeen;
    /// Short-circuit constants k.
    Iec60364ShortCircuit: "IEC 60364-5-54:2011", "Tables A.54.1 to A.54.6", PartlySeen;
    /// Adiabatic and non-adiabatic short-circuit heating, heat capacities.
    Iec60949: "IEC 60949:1988", "clauses 3 and 5", FromMemory;
    /// Heat capacities of insulations.
    Iec60853: "IEC 60853-2", "volumetric specific heats", FromMemory;
    /// Density of conductor metals.
    MetalDensity: "IEC 60028:1925 (copper), IEC 60889:1987 (aluminium)", "density at 20 degC", FromMemory;
    /// Properties of materials that no conductor standard gives.
    MaterialHandbook: "handbooks of materials", "room-temperature values, rounded", FromMemory;
    /// Continuous currents of copper bars.
    Din43671: "DIN 43671", "Table 1", PartlySeen;
    /// The adiabatic balance with the cable's own resistance.
    AdiabaticBalance: "heat balance of the conductor", "I2t = Qc/(R20 a20) ln((Tf+b)/(Ti+b))", Computed;
    /// Heat conduction along the conductor away from a joint.
    FinEquation: "fin equation of the conductor", "steady, one dimension", Computed;
    /// Radial heat conduction through the cable in time.
    RadialChain: "heat equation, radial finite volumes", "8 insulation and 4 jacket cells", Computed;
    /// Ohm's law over the loop.
    OhmsLaw: "Ohm's law", "both conductors of the loop", Computed;
    /// Rated impulse voltage, rows 150 V to 1000 V.
    Iec60664Impulse: "IEC 60664-1:2007", "Table F.1", PartlySeen;
    /// Rated impulse voltage, rows 50 V and 100 V.
    Iec60664ImpulseLow: "IEC 60664-1:2007", "Table F.1, rows 50 V and 100 V", FromMemory;
    /// Rated impulse voltage, rows 1250 V and 1500 V d.c.
    Iec60664ImpulseHigh: "IEC 60664-1:2020", "Table F.1, rows 1250 V and 1500 V d.c.", FromMemory;
    /// Which voltage of an unearthed system counts for the rated impulse voltage.
    Iec60664Unearthed: "IEC 60664-1:2007", "Table B.1", Seen;
    /// Clearance by impulse voltage, rows read in a published text.
    Iec60664ClearanceSeen: "IEC 60664-1:2007", "Table F.2, case A", Seen;
    /// Clearance by impulse voltage, the other rows.
    Iec60664Clearance: "IEC 60664-1:2007", "Table F.2, case A", PartlySeen;
    /// Smallest clearance in pollution degree 4.
    Iec60664ClearanceWet: "IEC 60664-1:2007", "Table F.2, footnote for pollution degree 4", FromMemory;
    /// Clearance by steady, recurring or temporary peak voltage.
    Iec60664PeakClearance: "IEC 60664-1:2007", "Table F.7a, case A", FromMemory;
    /// Clearance of reinforced insulation.
    Iec60664ReinforcedClearance: "IEC 60664-1:2007", "5.1.6", PartlySeen;
    /// Clearance above 2000 m.
    Iec60664Altitude: "IEC 60664-1:2007", "Table A.2", PartlySeen;
    /// Temporary overvoltage of a mains supply.
    Iec60664Temporary: "IEC 60664-1:2007", "5.3.3.2.3", Seen;
    /// Creepage distance up to 2000 V.
    Iec60664Creepage: "IEC 60664-1:2007", "Table F.4 (2020: Table F.5)", Seen;
    /// Creepage distance above 2000 V.
    Iec60664CreepageHigh: "IEC 60664-1:2007", "Table F.4 (2020: Table F.5), above 2000 V", PartlySeen;
    /// Material group `IIIb` in pollution degree 3.
    Iec60664GroupIiib: "IEC 60664-1:2007", "Table F.4, footnote on group IIIb", FromMemory;
    /// No creepage distance for a continuously conductive surface.
    Iec60664Wet: "IEC 60664-1:2007", "note on pollution degree 4", FromMemory;
    /// Material group by comparative tracking index.
    Iec60664Cti: "IEC 60664-1:2007", "4.8.1.3", PartlySeen;
    /// Creepage distance of reinforced insulation.
    Iec60664ReinforcedCreepage: "IEC 60664-1:2007", "twice Table F.4 (clause 5.2.4 from memory)", PartlySeen;
    /// A creepage distance is never below its clearance.
    Iec60664CreepageFloor: "IEC 60664-1:2007", "5.2.2.6", Seen;
    /// Grooves narrower than X do not count.
    Iec60664Groove: "IEC 60664-1:2007", "6.2", Seen;
    /// How high and wide a rib has to be, and where it counts.
    Iec60664Rib: "IEC 60664-1:2007", "rib (clause 5.2.5)", FromMemory;
    /// Isolation resistance limits.
    UnR100Isolation: "UN R100 Rev.3", "5.1.3", Seen;
    /// Isolation resistance at the charging inlet.
    UnR100Inlet: "UN R100 (02 series)", "5.1.3.4", FromMemory;
    /// Isolation measured with an inserted resistor.
    UnR100InsertedResistor: "UN R100 Rev.3", "Annex 5 (old Annex 4), 1.2.3", Seen;
    /// The older form of the inserted-resistor equation.
    Fmvss305Ratio: "49 CFR 571.305", "S7.6.6 (text of 2010/2011)", PartlySeen;
    /// Smallest voltage of an external source for the isolation measurement.
    UnR100ExternalSource: "UN R100 Rev.3", "Annex 5A", Seen;
    /// Equipotential bonding resistance.
    UnR100Bonding: "UN R100 Rev.3", "5.1.2.2", Seen;
    /// Bonding resistance between two parts within reach.
    UnR100BondingPair: "UN R100 Rev.3", "5.1.2, two parts within 2.5 m", FromMemory;
    /// Isolation limits restated as a current.
    Iso6469TouchCurrent: "ISO 6469-3", "6.3.2 restated as U / R", Computed;
    /// Energy in the capacitors to chassis.
    Iso6469YEnergy: "ISO 6469-4:2015", "5.2.3 (in use: ISO 6469-3, 6.3.3)", PartlySeen;
    /// Energy left between the poles after a crash.
    UnR94Energy: "UN R94", "Annex 11, paragraph 4", FromMemory;
    /// Withstand test of components, basic insulation.
    Iso6469Withstand: "ISO 6469-3:2011", "Table 2, 2 U + 1000 V", FromMemory;
    /// Withstand test of components, double or reinforced insulation.
    Iso6469WithstandReinforced: "ISO 6469-3:2011", "Table 2, 2 U + 3250 V", FromMemory;
    /// Withstand test of parts that can be connected to the mains.
    Iec60664Withstand: "IEC 60664-1:2007", "5.3.3.2.3, U + 1200 V", Seen;
    /// Isolation test voltage of the finished vehicle.
    Iso6469VehicleTest: "ISO 6469-3:2011", "8.2.2", Seen;
    /// Voltage class limits on the road.
    Iso6469VoltageClass: "ISO 6469-3:2021", "clause 4", PartlySeen;
    /// Voltage limits on farm machinery.
    Iso16230: "ISO 16230-1", "scope, 75 V to 1500 V d.c.", PartlySeen;
    /// Voltage bands on rails.
    En50153: "EN 50153", "voltage bands", FromMemory;
    /// Voltage limits on small craft.
    Iso16315: "ISO 13297 and ISO 16315", "scopes, 50 V and 1500 V d.c.", FromMemory;
    /// Charge and energy that a person touching one pole gets.
    TouchCircuit: "circuit of the two capacitors to chassis", "E = (C+ + C-) V2 / 2", Computed;
    /// Coverage of a braid.
    BraidCoverage: "MIL-C-17 family", "K = 2 F - F2, as makers print it", PartlySeen;
    /// Current and loss in a shield bonded at both ends.
    Iec60287ShieldLoss: "IEC 60287-1-1", "clause 2.3.1", FromMemory;
    /// Voltage and temperature classes of road-vehicle cables.
    Iso19642Class: "ISO 19642", "voltage and temperature classes", FromMemory;
    /// How much of its melting current a repeated pulse may take.
    FusePulses: "the trade", "repeated pulses below half the melting current of the same time", CommonPractice;
    /// How fuses are derated above 2000 m.
    FuseAltitude: "the trade", "0.5 % less current for each 100 m above 2000 m", CommonPractice;
    /// Total I2t of a fuse against the melting I2t of the one before it.
    FuseSelectivity: "the trade", "total I2t at most three quarters of the melting I2t upstream", CommonPractice;
    /// The shares of a melting that add to one.
    MeltingIntegral: "melting curve of the fuse", "sum of time over melting time", Computed;
    /// How long a fault may stay.
    Iec60364Disconnection: "IEC 60364-4-41 and 60364-4-43", "411.3.2.3, 434.5.2: 5 s", FromMemory;
    /// Resistance of a copper coil over temperature.
    CoilCopper: "Ohm's law and IEC 60287-1-1:2014 Table 1", "pull-in at the same current, R = R20 (1 + 0.00393 (T - 20))", Computed;
    /// Parallel connection of resistances.
    ParallelSum: "Ohm's law", "1/R = sum of 1/Ri", Computed;
    /// What a source brings to a load at most.
    MostPower: "Ohm's law", "most power through a resistance, U^2/(4 R)", Computed;
    /// A capacitor that is charged or discharged through a resistor.
    CapacitorCircuit: "circuit of resistor, capacitor and loads", "C dU/dt = (U0 - U)/R - I(U)", Computed;
    /// Heat that a resistor holds between pulses.
    ResistorHeat: "heat store of the resistor", "dq/dt = p - q/T", Computed;
    /// How long a link may keep its voltage after it was opened.
    Iso6469Discharge: "ISO 6469-3:2021", "6.3.4, 5 s with a tool, 1 s without", PartlySeen;
    /// Preferred values of resistors.
    Iec60063: "IEC 60063", "E12 series", FromMemory;
    /// How far apart strings may be when they are joined.
    StringJoin: "the trade", "strings are joined within 1.5 V unless through a resistor", CommonPractice;
    /// How strings share a current.
    StringShare: "circuit of the strings", "U = (sum E G - I) / sum G", Computed;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_source_says_where_and_how_well_it_is_known() {
        for id in SourceId::ALL {
            let source = id.source();
            assert!(
                !source.standard.is_empty() && !source.place.is_empty(),
                "{id:?}"
            );
            assert!(!source.evidence.words().is_empty(), "{id:?}");
        }
    }
}
