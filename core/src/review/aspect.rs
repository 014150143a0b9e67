//! What is held against what, with its unit.

macro_rules! aspects {
    ($( $(#[$doc:meta])* $name:ident: $unit:ident, $value:literal, $limit:literal; )*) => {
        /// What a finding holds against what. Value, limit and margin have its unit.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        #[cfg_attr(feature = "defmt", derive(defmt::Format))]
        #[cfg_attr(
            feature = "serde",
            derive(serde::Serialize),
            serde(rename_all = "kebab-case")
        )]
        #[non_exhaustive]
        #[repr(u8)]
        pub enum Aspect {
            $( $(#[$doc])* $name, )*
        }

        impl Aspect {
            /// Every one.
            pub const ALL: &'static [Self] = &[ $( Self::$name, )* ];

            /// The unit of value, limit and margin.
            pub const fn unit(self) -> Unit {
                match self { $( Self::$name => Unit::$unit, )* }
            }

            /// What the value is, in words.
            #[cfg(feature = "text")]
            pub const fn value_words(self) -> &'static str {
                match self { $( Self::$name => $value, )* }
            }

            /// What the limit is, in words.
            #[cfg(feature = "text")]
            pub const fn limit_words(self) -> &'static str {
                match self { $( Self::$name => $limit, )* }
            }
        }
    };
}

#[cfg(feature = "text")]
impl Aspect {
    /// What it means that a check fails and has no value, in words.
    pub const fn without_value_words(self) -> Option<&'static str> {
        Some(match self {
            Self::PrechargeTime => "the link never comes to the threshold",
            Self::DischargeTime | Self::DischargeLabel => "it never falls to a touchable voltage",
            Self::SteadyTemperature | Self::TerminalTemperature | Self::TerminalAllowed => {
                "it never settles: it becomes hotter than any insulation stands"
            }
            Self::PeakTemperature => "it becomes hotter than any insulation stands",
            Self::TapLength => "no fuse on the way",
            Self::LeadI2t | Self::ContactI2t => "it does not end",
            Self::LeastFault => "it is not off in that time",
            Self::TakesOver => "the fuse does not break them",
            Self::OperatingPoint => "there are none",
            Self::DischargeWelded => "a phase holds it on the battery for ever",
            Self::SharedOverload => "no fuse and no limit of the controller bounds it",
            Self::CableAllCurrents => "the fuse never breaks some of them",
            Self::BatteryPoles => "like poles: one of the two is the wrong way round",
            _ => return None,
        })
    }

    /// What it means that a check is decided and has no limit, in words.
    pub const fn without_limit_words(self) -> Option<&'static str> {
        Some(match self {
            Self::DischargeWelded | Self::PrechargeStuck => {
                "the resistor stands it for ever, or its cut-out opens"
            }
            Self::BackFeed => "no fuse is in the way",
            Self::StrapSection => "no strap is thick enough: the short circuit does not end",
            Self::ShieldSection => "no shield is thick enough: the short circuit does not end",
            _ => return None,
        })
    }
}

/// The unit of a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // renderers have to know each
#[repr(u8)]
pub enum Unit {
    /// There is no value.
    None,
    /// A plain number.
    Number,
    /// A share, as a fraction.
    Share,
    /// V.
    Volt,
    /// A.
    Ampere,
    /// degC.
    DegC,
    /// ohm.
    Ohm,
    /// mm2.
    Mm2,
    /// mm.
    Mm,
    /// s.
    Second,
    /// J.
    Joule,
    /// W.
    Watt,
    /// F.
    Farad,
    /// m.
    Metre,
    /// A2s.
    A2s,
    /// Ah.
    AmpereHour,
    /// H.
    Henry,
    /// ohm/m.
    OhmPerMetre,
    /// W/m.
    WattPerMetre,
    /// K m/W.
    KelvinMetrePerWatt,
    /// K.
    Kelvin,
    /// 1/K.
    PerKelvin,
}

aspects! {
    /// Somebody stands for it.
    Proof: None, "whether it is so", "what the rule asks for";
    /// Highest voltage against a rating.
    RatedVoltage: Volt, "highest voltage", "rated direct voltage";
    /// Highest voltage against the rules of the domain.
    DomainVoltage: Volt, "highest voltage", "highest voltage of the rules of the domain";
    /// Lowest voltage of a load.
    LowestVoltage: Volt, "lowest voltage while it works", "lowest voltage it works at";
    /// Highest voltage of a load.
    HighestVoltage: Volt, "highest voltage", "highest voltage it stands";
    /// Polarity of a load.
    Polarity: Volt, "voltage from its positive to its negative terminal", "the least with the right polarity";
    /// Poles of batteries in series.
    BatteryPoles: None, "pole that is joined to the other battery", "the opposite of its pole there";
    /// Power that the network can bring to a load.
    FedPower: Watt, "power that it draws", "the most that the network can bring to it";
    /// Whether there are voltages and currents in a phase.
    OperatingPoint: None, "voltages and currents of the phase", "those that fulfil every load";
    /// Cells in series.
    CellsInSeries: Number, "cells in series", "those of the string beside it";
    /// Voltage of the full string.
    FullVoltage: Volt, "voltage of the full string", "that of the string beside it";
    /// Chemistry.
    Chemistry: None, "chemistry", "that of the string beside it";
    /// Discharge current of a string.
    StringDischarge: Ampere, "largest discharge current", "what its cells allow";
    /// Charge current of a string.
    StringCharge: Ampere, "largest charge current", "what its cells allow";
    /// Trip of the controller.
    StringTrip: Ampere, "largest current of the string", "current from which the controller opens it";
    /// Share of a string.
    StringLost: Ampere, "current of each string when one is lost", "what its cells allow";
    /// Share of a string that is charged.
    StringLostCharge: Ampere, "current into each string when one is lost", "what its cells take";
    /// Steady temperature.
    SteadyTemperature: DegC, "steady temperature", "temperature class less 10 K";
    /// Peak temperature.
    PeakTemperature: DegC, "highest temperature of the duty", "temperature class";
    /// Temperature at a terminal.
    TerminalTemperature: DegC, "temperature at the terminal", "what terminal and lug allow";
    /// Temperature at a terminal with what the controller allows to last.
    TerminalAllowed: DegC, "temperature at the terminal with what the controller allows to last", "what terminal and lug allow";
    /// Window of the r.m.s. current.
    DutyWindow: Second, "window of the r.m.s. current", "time constant of the cable in its place";
    /// Drop of voltage.
    Drop: Volt, "drop from the source", "allowed drop";
    /// Voltage class of a cable.
    CableClass: Volt, "highest voltage", "voltage class of the cable";
    /// Lengths of parallel conductors.
    ParallelLength: Metre, "length", "length of the one beside it, within 5 %";
    /// Bundle and tube of a route.
    Grouping: None, "bundle and tube of each piece of the route", "stated";
    /// Rated voltage of a fuse.
    FuseVoltage: Volt, "highest voltage", "rated direct voltage of the fuse";
    /// Lasting current of a fuse.
    FuseCarry: Ampere, "r.m.s. current", "what the fuse carries in its place";
    /// What the controller allows to last against a fuse.
    FuseAllowed: Ampere, "lasting current that the controller allows", "what the fuse carries in its place";
    /// Pulse of a fuse.
    FusePulse: Ampere, "repeated current", "half of what melts it in that time";
    /// A fuse in series.
    FuseInSeries: None, "a fuse in series before the next junction", "one at least";
    /// Current that no fuse guards.
    WithoutFuse: Ampere, "current of a short circuit that flows with every fuse open", "none";
    /// Largest prospective current.
    FaultLargest: Ampere, "largest prospective current of a short circuit", "known";
    /// Smallest prospective current.
    FaultSmallest: Ampere, "smallest prospective current of a short circuit", "known";
    /// Voltage of a piece of the battery.
    PieceVoltage: Volt, "most that is left in one piece with every service disconnect out", "half of the highest voltage";
    /// Joule integral through a conductor.
    LeadI2t: A2s, "joule integral until a short circuit is off", "what the conductor stands";
    /// Cable between a junction and the fuse of a smaller one.
    TapLength: Metre, "smaller cable before the first fuse", "longest way to the fuse";
    /// Time constant of a fuse's faults.
    FuseTimeConstant: Second, "longest L/R of its short circuits", "L/R of the fuse's test";
    /// Breaking capacity.
    FuseBreaking: Ampere, "largest prospective current", "breaking capacity of the fuse";
    /// Breaking capacity on the low-voltage side.
    LowFuseBreaking: Ampere, "most that the low-voltage batteries drive through it", "breaking capacity of the fuse";
    /// Datasheet of a fuse of the low-voltage side.
    LowFuseTimes: None, "melting curve and total I2t", "stated";
    /// Smallest fault that a fuse has to end.
    LeastFault: Second, "time until the smallest short circuit that it has to end is off", "longest time until a short circuit is off";
    /// Fuse against the fuse upstream.
    SelectiveI2t: A2s, "total I2t of the fuse", "three quarters of the melting I2t upstream";
    /// Fuse against the fuse upstream.
    SelectiveTime: Share, "share of what melts the fuse upstream until it has cleared, at the worst current", "all of it";
    /// Capacitors into a fuse.
    CapacitorPeak: Ampere, "peak that link capacitors drive through it", "what it breaks, or stands closed";
    /// Capacitors into a fuse that has no fault behind it, or a contactor.
    CapacitorI2t: A2s, "joule integral of link capacitors through it", "what melts or welds it";
    /// Peak through closed contacts.
    ContactPeak: Ampere, "largest prospective current", "peak that the closed contacts stand";
    /// Joule integral through closed contacts.
    ContactI2t: A2s, "joule integral until a short circuit is off", "what the closed contacts stand";
    /// Section of a bond.
    StrapSection: Mm2, "section of the bond strap", "section that stands every short circuit through chassis";
    /// Section of a shield.
    ShieldSection: Mm2, "section of all strands of the shield", "section that stands every short circuit through chassis";
    /// Poles that are opened.
    PoleOpen: None, "a way to the loads with all contactors open", "none";
    /// Pins of an inlet in a phase in which it delivers nothing.
    PinsLive: None, "its pins are joined to a battery in a phase in which nothing is plugged in", "joined only while it delivers";
    /// A charger on the mains.
    MainsSeparated: None, "separation from the mains inside of it, or a plan for residual currents", "what somebody stands for";
    /// A cable that stays live.
    LiveCable: None, "a cable outside a box that no contactor switches off", "none, or guarded and labelled";
    /// Voltage of contacts.
    ContactVoltage: Volt, "highest voltage", "rated voltage of the contacts";
    /// Altitude of a contactor.
    ContactAltitude: Metre, "highest altitude", "altitude that the part is rated for";
    /// Lasting current of contacts.
    ContactCarry: Ampere, "r.m.s. current", "current it carries for ever";
    /// What the controller allows to last against contacts.
    ContactAllowed: Ampere, "lasting current that the controller allows", "current it carries for ever";
    /// Air around contacts.
    ContactAir: DegC, "air around it", "air that its current is rated in";
    /// Section on contacts.
    ContactSection: Mm2, "section on its terminals", "section that its current is rated with";
    /// Breaking current.
    ContactBreak: Ampere, "largest current in that direction", "what it breaks that way at the highest voltage";
    /// Polarity arrow.
    Arrow: None, "how the arrow points", "stated for a polarised part";
    /// Closings.
    Closings: Number, "closings counted", "endurance";
    /// A shield where one is needed.
    ShieldPresent: None, "a shield", "needed";
    /// Distance of a quiet circuit to low-voltage wiring.
    LowVoltageDistance: Mm, "distance to low-voltage wiring alongside", "distance that it keeps without a shield";
    /// Pigtail.
    Pigtail: Mm, "pigtail, none for a round contact", "longest pigtail";
    /// Cut-back of a shield.
    CutBack: Mm, "from the edge of the shield to the bare conductor", "creepage distance of its box";
    /// Resistance of a shield.
    ShieldResistance: Ohm, "resistance of the shield from end to end", "twice that of its braid and 10 mohm";
    /// Clearance.
    Clearance: Mm, "shortest way through air", "clearance that is needed";
    /// System voltage that the impulse is looked up by.
    SystemVoltage: Volt, "stated system voltage", "highest voltage";
    /// Impulse voltage.
    StatedImpulse: Volt, "stated impulse voltage", "that of overvoltage category I at the highest voltage";
    /// Creepage distance.
    Creepage: Mm, "shortest way over the surface", "creepage distance that is needed";
    /// Pollution degree of a box.
    PollutionKept: Number, "stated pollution degree inside", "the best that what keeps it allows there";
    /// A distance that was stated.
    Distances: None, "distances measured in this box", "stated as [[spacing]]";
    /// Isolation resistance.
    Isolation: Ohm, "isolation resistance", "limit at the highest voltage";
    /// Isolation resistance when new.
    IsolationNew: Ohm, "isolation resistance", "five times the limit";
    /// Sum of all parts.
    IsolationBudget: Ohm, "all parts in parallel", "limit at the highest voltage";
    /// Energy in capacitors to chassis.
    TouchEnergy: Joule, "energy in the capacitors to chassis", "energy that may be touched";
    /// Capacitance that a monitor bears.
    MonitorCapacitance: Farad, "capacitance to chassis", "what the monitor bears";
    /// Time of a monitor.
    MonitorTime: Second, "time to its alarm", "longest time";
    /// Voltage range of a monitor.
    MonitorVoltage: Volt, "voltage that it has to work at", "voltage range of the monitor";
    /// Alarm of a monitor.
    MonitorAlarm: Ohm, "alarm of the monitor", "isolation limit";
    /// Bond.
    Bond: Ohm, "resistance to chassis", "highest resistance";
    /// Section of a lug.
    LugSmall: Share, "barrel over section of the cable", "least share";
    /// Section of a lug.
    LugLarge: Share, "barrel over section of the cable", "largest share";
    /// Metals of lug and cable.
    LugMetal: None, "metal of the barrel", "that of the cable: aluminium on aluminium, copper on copper";
    /// Hole of a lug.
    LugHole: Mm, "play of the stud in the hole", "largest play";
    /// Hole of a lug against its stud.
    LugOverStud: Mm, "hole of the lug", "diameter of the stud";
    /// Palm of a lug.
    LugPalm: Mm2, "metal left beside the hole of the lug", "section of the cable";
    /// Gland too small.
    GlandThick: Mm, "outer diameter of the cable", "thickest cable of the gland";
    /// Gland too large.
    GlandThin: Mm, "outer diameter of the cable", "thinnest cable of the gland";
    /// Gland and shield.
    GlandShield: None, "a gland that clamps the shield", "needed for this cable";
    /// Joint.
    Joint: Ohm, "resistance of the joint", "1.5 times the best of its kind";
    /// Output of a converter.
    ConverterCurrent: Ampere, "largest output current", "rated output current";
    /// Reserve of the low-voltage battery.
    Reserve: Second, "time with half of the battery and no converter", "least time";
    /// Strokes.
    Strokes: Number, "full strokes of the brake", "least number";
    /// Voltage of an insulation tester.
    TesterVoltage: Volt, "voltage of the tester", "highest voltage";
    /// Lowest voltage at a test point.
    TestPointLow: Volt, "voltage at the test point", "voltage of the empty battery";
    /// Highest voltage at a test point.
    TestPointHigh: Volt, "voltage at the test point", "voltage of the full battery";
    /// Difference at which a string is joined.
    JoinWindow: Volt, "difference at which it is joined", "most that cells, contactor, fuse and usage allow";
    /// Error of the measured voltage of a string.
    JoinSensors: Volt, "error of the measured voltage of a string", "half the window, and half of what is left to what cells, contactor and fuse stand";
    /// Current of the other strings into a faulted one.
    BackFeed: Ampere, "current of the other strings into it", "what its fuse breaks";
    /// Current on closing.
    ContactMake: Ampere, "current on closing", "what the contactor makes";
    /// Pull-in of a coil.
    CoilPullIn: Volt, "voltage at the coil at the lowest supply", "what it needs hot to pull in";
    /// Hold of a coil.
    CoilHold: Volt, "voltage at the coil in a dip", "that at which it drops out hot";
    /// Highest supply of a coil.
    CoilHighest: Volt, "highest voltage of its supply", "what the coil stands for ever";
    /// Side of a coil.
    CoilSide: None, "terminal that its coil is on", "one of the low-voltage side";
    /// One try to precharge.
    PrechargeTry: Joule, "energy of one try", "one pulse of the resistor";
    /// All tries in a row.
    PrechargeSeries: Joule, "heat in the resistor after all tries in a row", "one pulse of the resistor";
    /// First current of the precharge.
    PrechargePeakCurrent: Ampere, "first current", "what the relay makes";
    /// First power of the precharge.
    PrechargePeakPower: Watt, "first power", "peak power of the resistor";
    /// Shorted link or stuck relay.
    PrechargeStuck: Second, "time-out and reaction", "how long the resistor stands the battery";
    /// Time of the precharge.
    PrechargeTime: Second, "time to the threshold", "time-out";
    /// Where the link settles.
    PrechargeSettles: Volt, "voltage at which the link settles", "that at which the contactor closes";
    /// Whether a capacitor is precharged.
    PrechargePath: None, "a precharge path to its capacitor", "one before a contactor joins it";
    /// Time by the bleed alone.
    DischargeLabel: Second, "time to a touchable voltage by the bleed alone", "wait on the label";
    /// Time of the discharge.
    DischargeTime: Second, "time to a touchable voltage", "longest time";
    /// Energy of a discharge.
    DischargeEnergy: Joule, "energy of one discharge", "one pulse of its resistor";
    /// Discharge held on the battery.
    DischargeWelded: Second, "how long the discharge stays on", "how long its resistor stands the battery";
    /// Power of a bleed.
    BleedPower: Watt, "power at the highest voltage", "lasting power of the bleed";
    /// What melts a partial-range fuse without being broken.
    GapBreaks: Ampere, "least current that the fuse breaks", "what its contactor is opened on at most";
    /// What a contactor does not break and the fuse in series with it does.
    TakesOver: Ampere, "least current that the fuse surely clears", "current up to which the contactor is opened, in the direction of short circuits";
    /// Trip of the controller and the fuse.
    GapTripCurrent: Ampere, "current from which the controller trips", "least current that melts the fuse";
    /// Trip of the controller and the fuse.
    GapTripTime: Second, "time of the trip", "time that melts the fuse at the least current it breaks";
    /// Who keeps an overload off.
    OverloadOwner: Ampere, "rated current of the fuse or limit of the controller", "lasting current of the conductor";
    /// Overload that several fuses let through, or a share of it.
    SharedOverload: Ampere, "its share of the rated currents of all fuses that feed it, or of the limit of the controller", "lasting current of the conductor";
    /// Conductors behind a fuse, at every current.
    CableAllCurrents: Share, "share of what the conductor stands until the fuse opens, at the worst of all currents", "all of it";
    /// A time constant against a computed one.
    TimeConstantOff: Share, "how far the time constant is from the computed one", "most that is not explained";
    /// A discharge against a computed one.
    DischargeOff: Share, "how far the discharge is from what was computed", "most that is not explained";
    /// A drop against a computed one.
    DropOff: Share, "how far the drop is from what was computed", "most that is not explained";
    /// A temperature that was read against what stands it.
    TemperatureRead: DegC, "temperature that was read", "what cable, terminal or lug allows";
    /// A temperature that was read, carried over to the duty and the air of the design.
    TemperatureCarried: DegC, "temperature in its duty and the hottest air, by what was read", "what is allowed of what is computed";
    /// A temperature that was read against a computed one.
    TemperatureOff: Kelvin, "how far the temperature is from what was computed for this current and air", "most that is not explained";
    /// A capacitance that was read against the stated one.
    CapacitanceOff: Share, "how far the capacitance is from the stated one", "tolerance that was reckoned with";
    /// Voltages that were read of strings in parallel.
    TestPointApart: Volt, "difference between strings in parallel", "difference at which they may be joined";
}
