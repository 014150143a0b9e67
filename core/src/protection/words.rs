//! The checks and what they lack, in words for people.

#[cfg(feature = "text")]
impl super::FuseCheck {
    /// What is checked, as one clause.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Voltage => "highest voltage against the rated direct voltage",
            Self::TimeConstant => {
                "time constant L/R of the circuit against that of the fuse's test"
            }
            Self::BreakingCapacity => "largest prospective current against the breaking capacity",
            Self::Continuous => "lasting current against what the fuse carries where it is",
            Self::Pulse => "repeated pulse against its share of the melting current",
            Self::Course => "share of a melting that the repeated course of current does",
            Self::LowCurrentGap => {
                "smallest current the fuse breaks against what the contactor breaks"
            }
            Self::GapTripCurrent => {
                "current at which the controller opens against the smallest that melts"
            }
            Self::GapTrip => "time until the contactor is open against the melting time in the gap",
            Self::SelectivityI2t => {
                "total I2t against the allowed share of the melting I2t upstream"
            }
            Self::SelectivityTime => {
                "clearing time over the melting time upstream, at the worst current"
            }
            Self::LeastFault => "time in which the smallest fault is cleared",
            Self::OverloadOwner => "limit that keeps a lasting overload off the conductor",
            Self::Cable => "share of what the cable stands, at the worst current",
            Self::Shield => "share of what the shield stands, at the worst current",
            Self::Strap => "share of what the bond strap stands, at the worst current",
            Self::ContactorI2t => {
                "share of the I2t that the closed contactor stands, at the worst current"
            }
        }
    }

    /// Unit of value, limit and margin; empty for a plain number.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Voltage => "V",
            Self::TimeConstant | Self::GapTrip | Self::LeastFault => "s",
            Self::BreakingCapacity
            | Self::Continuous
            | Self::Pulse
            | Self::LowCurrentGap
            | Self::GapTripCurrent
            | Self::OverloadOwner => "A",
            Self::SelectivityI2t => "A2s",
            Self::Course
            | Self::SelectivityTime
            | Self::Cable
            | Self::Shield
            | Self::Strap
            | Self::ContactorI2t => "",
        }
    }
}

#[cfg(feature = "text")]
impl super::ContactorCheck {
    /// What is checked, as one clause.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Voltage => "highest voltage against that of the contacts",
            Self::Altitude => "altitude against that of the part",
            Self::Carry => "lasting current against the rated one",
            Self::CarryAir => "air against that of the rated current",
            Self::CarrySection => "section on the terminals against that of the rated current",
            Self::Make => "current on closing against what it makes",
            Self::BreakAlong => {
                "current from first to second terminal against what it breaks that way"
            }
            Self::BreakAgainst => {
                "current from second to first terminal against what it breaks that way"
            }
            Self::WithstandPeak => "peak of a fault through closed contacts",
            Self::Withstand => "I2t of a fault through closed contacts",
            Self::NobodyBreaks => {
                "smallest current the fuse clears against what the contactor breaks"
            }
            Self::Closings => "closings against the endurance",
            Self::LoadOpenings => "openings under load against the endurance",
            Self::PullIn => "voltage at the coil against what it needs to pull in",
            Self::Hold => "voltage at the coil against that at which it drops out",
        }
    }

    /// Unit of value, limit and margin; empty for a plain number.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Voltage | Self::PullIn | Self::Hold => "V",
            Self::Altitude => "m",
            Self::CarryAir => "degC",
            Self::CarrySection => "mm2",
            Self::Carry
            | Self::Make
            | Self::BreakAlong
            | Self::BreakAgainst
            | Self::WithstandPeak
            | Self::NobodyBreaks => "A",
            Self::Withstand => "A2s",
            Self::Closings | Self::LoadOpenings => "",
        }
    }
}

#[cfg(feature = "text")]
impl super::FuseGap {
    /// What to add to the part, as one clause.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Melting => "melting curve or melting I2t",
            Self::MeltingThere => "melting time at such a current",
            Self::Arcing => "melting I2t, total I2t and the voltage that it holds for",
            Self::ArcingThere => "total I2t at this voltage; the one stated holds for less",
            Self::Voltage => "rated direct voltage",
            Self::Breaking => "breaking capacity",
            Self::LeastBreaking => {
                "smallest current that it breaks, or that it breaks all (utilisation)"
            }
        }
    }
}

#[cfg(feature = "text")]
impl super::Unbroken {
    /// Why the fuse does not break the current, as one clause.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Voltage => "the voltage is above its rated direct voltage",
            Self::TooLarge => "the current is above its breaking capacity",
            Self::TooSmall => "it melts, but does not break so small a current",
        }
    }
}
