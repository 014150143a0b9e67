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
