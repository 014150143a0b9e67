//! Voltage and temperature class of a cable against what it meets.

use crate::bounds::Bounded;
use crate::error::Error;
use crate::quantity::{Temperature, Voltage};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side};

/// Voltage class of a road-vehicle cable (ISO 19642, from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // the classes of the standard
pub enum CableVoltageClass {
    /// 30 V a.c., 60 V d.c.: no high-voltage cable.
    Dc60,
    /// 600 V a.c., 900 V d.c.
    Dc900,
    /// 1000 V a.c., 1500 V d.c.
    Dc1500,
}

impl CableVoltageClass {
    /// Every class, lowest first.
    pub const ALL: [Self; 3] = [Self::Dc60, Self::Dc900, Self::Dc1500];

    /// Highest voltage in V, direct or alternating r.m.s.
    pub const fn highest_v(self, alternating: bool) -> f32 {
        match (self, alternating) {
            (Self::Dc60, false) => 60.0,
            (Self::Dc60, true) => 30.0,
            (Self::Dc900, false) => 900.0,
            (Self::Dc900, true) => 600.0,
            (Self::Dc1500, false) => 1500.0,
            (Self::Dc1500, true) => 1000.0,
        }
    }

    /// The lowest class that bears a voltage; `None` above 1500 V d.c. or 1000 V a.c.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a voltage below 1 V or above 10 kV.
    pub fn least(highest: Voltage, alternating: bool) -> Result<Option<Self>, Error> {
        let volts = Bounded::WorkingVoltage.check(highest.as_volts())?;
        Ok(Self::ALL
            .into_iter()
            .find(|class| volts <= class.highest_v(alternating)))
    }
}

/// Temperature class of a road-vehicle cable (ISO 19642 and ISO 6722, from memory):
/// the conductor temperature that the insulation bears for 3000 h.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // the classes of the standard
pub enum CableTemperatureClass {
    /// 85 degC.
    A,
    /// 100 degC.
    B,
    /// 125 degC.
    C,
    /// 150 degC.
    D,
    /// 175 degC.
    E,
    /// 200 degC.
    F,
    /// 225 degC.
    G,
    /// 250 degC.
    H,
}

impl CableTemperatureClass {
    /// Every class, lowest first.
    pub const ALL: [Self; 8] = [
        Self::A,
        Self::B,
        Self::C,
        Self::D,
        Self::E,
        Self::F,
        Self::G,
        Self::H,
    ];

    /// Highest lasting conductor temperature in degC.
    pub const fn highest_degc(self) -> f32 {
        match self {
            Self::A => 85.0,
            Self::B => 100.0,
            Self::C => 125.0,
            Self::D => 150.0,
            Self::E => 175.0,
            Self::F => 200.0,
            Self::G => 225.0,
            Self::H => 250.0,
        }
    }
}

/// A check of a cable's class.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // voltage and temperature
pub enum CableClassCheck {
    /// Highest voltage against the class, in V.
    Voltage,
    /// Hottest lasting conductor temperature against the class, in degC.
    Temperature,
}

/// Judges the highest voltage of the circuit against the cable's class; open where
/// the class is not known.
///
/// # Errors
/// [`Error::OutOfRange`] for a voltage below 1 V or above 10 kV.
pub fn judge_cable_voltage(
    class: Option<CableVoltageClass>,
    highest: Voltage,
    alternating: bool,
) -> Result<Judged<CableClassCheck>, Error> {
    let volts = Bounded::WorkingVoltage.check(highest.as_volts())?;
    let limit = class.map(|class| class.highest_v(alternating));
    Ok(judge(CableClassCheck::Voltage, Some(volts), limit))
}

/// Judges the hottest lasting conductor temperature against the cable's class; open
/// where either is not known.
pub fn judge_cable_temperature(
    class: Option<CableTemperatureClass>,
    hottest: Option<Temperature>,
) -> Judged<CableClassCheck> {
    let limit = class.map(CableTemperatureClass::highest_degc);
    judge(
        CableClassCheck::Temperature,
        hottest.map(Temperature::as_degc),
        limit,
    )
}

fn judge(name: CableClassCheck, value: Option<f32>, limit: Option<f32>) -> Judged<CableClassCheck> {
    Judged::known(name, value, Side::AtMost, limit, SourceId::Iso19642Class)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::Verdict;

    fn volts(volts: f32) -> Voltage {
        Voltage::from_volts(volts).unwrap()
    }

    #[test]
    fn the_least_class_bears_the_voltage_and_the_one_below_does_not() {
        use CableVoltageClass::{Dc60, Dc900, Dc1500};
        for (v, alternating, class) in [
            (60.0, false, Some(Dc60)),
            (60.1, false, Some(Dc900)),
            (900.0, false, Some(Dc900)),
            (900.1, false, Some(Dc1500)),
            (601.0, true, Some(Dc1500)),
            (1500.1, false, None),
        ] {
            assert_eq!(
                CableVoltageClass::least(volts(v), alternating),
                Ok(class),
                "{v}"
            );
        }
    }

    #[test]
    fn a_class_that_is_not_known_stays_open() {
        let judged = |class, v| judge_cable_voltage(class, volts(v), false).unwrap().verdict;
        assert_eq!(
            judged(Some(CableVoltageClass::Dc900), 806.0),
            Verdict::Holds
        );
        assert_eq!(
            judged(Some(CableVoltageClass::Dc900), 950.0),
            Verdict::Fails
        );
        assert_eq!(judged(None, 806.0), Verdict::Open);
        let hot = Temperature::from_degc(131.0).ok();
        let class = Some(CableTemperatureClass::C);
        assert_eq!(judge_cable_temperature(class, hot).verdict, Verdict::Fails);
        assert_eq!(judge_cable_temperature(class, None).verdict, Verdict::Open);
        assert_eq!(judge_cable_temperature(None, hot).verdict, Verdict::Open);
    }

    #[test]
    fn classes_rise() {
        for pair in CableTemperatureClass::ALL.windows(2) {
            assert!(pair[0].highest_degc() < pair[1].highest_degc());
        }
    }
}
