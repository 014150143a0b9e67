//! Resistance between the high voltage and chassis: what is asked for, what the
//! parts add up to, and whether the monitor can see it.

use crate::bounds::Bounded;
use crate::error::Error;
use crate::quantity::{Capacitance, Resistance, Time, Voltage};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side};

/// Which rule holds for a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // the cases of the regulation
pub enum IsolationCase {
    /// Direct current, galvanically separate from any alternating one.
    DirectSeparate,
    /// Alternating current, galvanically separate.
    AlternatingSeparate,
    /// Both galvanically connected: the usual case of a battery with an inverter
    /// that has no transformer.
    Connected,
    /// The same, and every alternating part has two independent layers of
    /// insulation, barriers or enclosures, or mechanically robust protection
    /// (motor housing, converter case, connector).
    ConnectedAlternatingProtected,
}

impl IsolationCase {
    /// Every case, in the order of the regulation.
    pub const ALL: [Self; 4] = [
        Self::DirectSeparate,
        Self::AlternatingSeparate,
        Self::Connected,
        Self::ConnectedAlternatingProtected,
    ];

    /// Resistance asked for, in ohm per volt of working voltage.
    pub const fn ohm_per_volt(self) -> f32 {
        match self {
            Self::DirectSeparate | Self::ConnectedAlternatingProtected => 100.0,
            Self::AlternatingSeparate | Self::Connected => 500.0,
        }
    }

    /// Where the limit comes from.
    pub const SOURCE: SourceId = SourceId::UnR100Isolation;

    /// Isolation resistance that the circuit has to keep at its highest working
    /// voltage.
    ///
    /// Equation: R = (ohm per volt) U. Source: UN R100 Rev.3, 5.1.3; the same
    /// values in ISO 6469-3, 6.3.2.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a voltage below 1 V or above 10 kV.
    pub fn limit(self, working: Voltage) -> Result<Resistance, Error> {
        let volts = Bounded::WorkingVoltage.check(working.as_volts())?;
        Resistance::from_ohms(self.ohm_per_volt() * volts)
    }
}

/// Isolation resistance of the circuit that the charging inlet is connected to,
/// with the charging cable unplugged; UN R100 (02 series), 5.1.3.4, from memory.
pub const INLET_LIMIT_OHM: f32 = 1.0e6;

/// How many times the limit a new and dry build should reach; common practice, no
/// source.
pub const NEW_BUILD_FACTOR: f32 = 5.0;

/// A check of isolation; its values are in ohm, F, s or V as its words say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum IsolationCheck {
    /// Resistance against the limit, in ohm.
    Limit,
    /// Resistance against the multiple for a new build, in ohm.
    NewBuild,
    /// Parallel sum of all parts against the limit, in ohm.
    Budget,
    /// Capacitance to chassis against what the monitor bears, in F.
    MonitorCapacitance,
    /// Highest working voltage against that of the monitor, in V.
    MonitorHighestVoltage,
    /// Lowest working voltage against that of the monitor, in V.
    MonitorLowestVoltage,
    /// Response time of the monitor against the time allowed, in s.
    MonitorResponse,
    /// Alarm value of the monitor against the limit, in ohm.
    MonitorAlarm,
}

/// Judges a known isolation resistance against the limit, and against five times
/// the limit for a new and dry build.
///
/// # Errors
/// As [`IsolationCase::limit`].
pub fn judge_isolation(
    case: IsolationCase,
    working: Voltage,
    resistance: Resistance,
) -> Result<[Judged<IsolationCheck>; 2], Error> {
    let limit = case.limit(working)?.as_ohms();
    let value = resistance.as_ohms();
    Ok([
        Judged::compare(
            IsolationCheck::Limit,
            value,
            Side::AtLeast,
            limit,
            IsolationCase::SOURCE,
        ),
        Judged::compare(
            IsolationCheck::NewBuild,
            value,
            Side::AtLeast,
            limit * NEW_BUILD_FACTOR,
            SourceId::CommonPractice,
        ),
    ])
}

/// What all parts together leave.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct IsolationBudget {
    /// All resistances to chassis in parallel; zero where one is zero.
    pub parallel: Resistance,
    /// Place of the part with the smallest resistance.
    pub weakest: usize,
}

/// Parallel sum of the isolation resistances of all parts.
///
/// Equation: `1/R = sum 1/Ri`. `None` where no part is given: nothing is known
/// then, which is not the same as good. One part with 0 ohm makes the sum zero.
/// Taking all parts of both poles gives less than the smaller side that a
/// measurement after UN R100 finds, so a budget that holds is on the safe side.
///
/// One pass over the parts. The sum runs in `f64`, so that many good parts do not
/// round away beside a bad one.
///
/// # Errors
/// [`Error::OutOfRange`] does not occur for resistances within their own bounds.
pub fn isolation_budget(parts: &[Resistance]) -> Result<Option<IsolationBudget>, Error> {
    let Some((weakest, smallest)) = parts
        .iter()
        .enumerate()
        .min_by(|(_, a), (_, b)| a.as_ohms().total_cmp(&b.as_ohms()))
    else {
        return Ok(None);
    };
    if smallest.as_ohms() <= 0.0 {
        return Ok(Some(IsolationBudget {
            parallel: *smallest,
            weakest,
        }));
    }
    let conductance: f64 = parts
        .iter()
        .map(|part| 1.0 / f64::from(part.as_ohms()))
        .sum();
    #[allow(clippy::cast_possible_truncation)] // to the precision of every interface
    let parallel = Resistance::from_ohms((1.0 / conductance) as f32)?;
    Ok(Some(IsolationBudget { parallel, weakest }))
}

/// Judges the budget against the limit; open where no part is known.
///
/// # Errors
/// As [`IsolationCase::limit`] and [`isolation_budget`].
pub fn judge_budget(
    case: IsolationCase,
    working: Voltage,
    parts: &[Resistance],
) -> Result<Judged<IsolationCheck>, Error> {
    let limit = case.limit(working)?.as_ohms();
    Ok(match isolation_budget(parts)? {
        Some(budget) => Judged::compare(
            IsolationCheck::Budget,
            budget.parallel.as_ohms(),
            Side::AtLeast,
            limit,
            SourceId::ParallelSum,
        ),
        None => Judged::open(
            IsolationCheck::Budget,
            None,
            Side::AtLeast,
            Some(limit),
            SourceId::ParallelSum,
        ),
    })
}

/// What an isolation monitoring device can do, from its datasheet.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // every input matters; a new one must be met
pub struct MonitorRange {
    /// Largest capacitance from both poles to chassis together.
    pub capacitance: Option<Capacitance>,
    /// Lowest working voltage.
    pub lowest: Option<Voltage>,
    /// Highest working voltage.
    pub highest: Option<Voltage>,
    /// Time from a fault to the alarm, at the capacitance of the vehicle.
    pub response: Option<Time>,
    /// Resistance below which it alarms.
    pub alarm: Option<Resistance>,
}

/// What the vehicle asks of the monitor.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // every input matters; a new one must be met
pub struct MonitorDuty {
    /// Which isolation rule holds.
    pub case: IsolationCase,
    /// Capacitance from both poles to chassis together.
    pub capacitance: Capacitance,
    /// Lowest working voltage.
    pub lowest: Voltage,
    /// Highest working voltage.
    pub highest: Voltage,
    /// Longest time from a fault to the alarm.
    pub response: Time,
}

/// Judges whether the monitor works over the whole range of the vehicle; a value
/// missing from the datasheet stays open.
///
/// # Errors
/// As [`IsolationCase::limit`].
pub fn judge_monitor(
    duty: &MonitorDuty,
    range: &MonitorRange,
) -> Result<[Judged<IsolationCheck>; 5], Error> {
    let practice = SourceId::CommonPractice;
    let check = |name, value: f32, side, limit: Option<f32>, source| match limit {
        Some(limit) => Judged::compare(name, value, side, limit, source),
        None => Judged::open(name, Some(value), side, None, source),
    };
    let limit = duty.case.limit(duty.highest)?.as_ohms();
    Ok([
        check(
            IsolationCheck::MonitorCapacitance,
            duty.capacitance.as_farads(),
            Side::AtMost,
            range.capacitance.map(Capacitance::as_farads),
            practice,
        ),
        check(
            IsolationCheck::MonitorHighestVoltage,
            duty.highest.as_volts(),
            Side::AtMost,
            range.highest.map(Voltage::as_volts),
            practice,
        ),
        check(
            IsolationCheck::MonitorLowestVoltage,
            duty.lowest.as_volts(),
            Side::AtLeast,
            range.lowest.map(Voltage::as_volts),
            practice,
        ),
        match range.response {
            Some(response) => Judged::compare(
                IsolationCheck::MonitorResponse,
                response.as_seconds(),
                Side::AtMost,
                duty.response.as_seconds(),
                practice,
            ),
            None => Judged::open(
                IsolationCheck::MonitorResponse,
                None,
                Side::AtMost,
                Some(duty.response.as_seconds()),
                practice,
            ),
        },
        match range.alarm {
            Some(alarm) => Judged::compare(
                IsolationCheck::MonitorAlarm,
                alarm.as_ohms(),
                Side::AtLeast,
                limit,
                IsolationCase::SOURCE,
            ),
            None => Judged::open(
                IsolationCheck::MonitorAlarm,
                None,
                Side::AtLeast,
                Some(limit),
                IsolationCase::SOURCE,
            ),
        },
    ])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::Verdict;

    fn ohms(ohms: f32) -> Resistance {
        Resistance::from_ohms(ohms).unwrap()
    }

    fn volts(volts: f32) -> Voltage {
        Voltage::from_volts(volts).unwrap()
    }

    #[test]
    fn eight_good_parts_can_miss_the_limit_together() {
        // 8 x 3 Mohm = 375 kohm against 500 ohm/V x 806 V = 403 kohm.
        let judged =
            judge_budget(IsolationCase::Connected, volts(806.0), &[ohms(3.0e6); 8]).unwrap();
        assert_eq!(judged.verdict, Verdict::Fails);
        assert!((judged.value.unwrap() - 375_000.0).abs() < 0.1);
        assert!((judged.limit.unwrap() - 403_000.0).abs() < 0.1);
        let protected = judge_budget(
            IsolationCase::ConnectedAlternatingProtected,
            volts(806.0),
            &[ohms(3.0e6); 8],
        );
        assert_eq!(protected.unwrap().verdict, Verdict::Holds);
    }

    #[test]
    fn an_empty_budget_is_open_and_a_dead_short_is_zero() {
        let open = judge_budget(IsolationCase::Connected, volts(400.0), &[]).unwrap();
        assert_eq!(open.verdict, Verdict::Open);
        let short = isolation_budget(&[ohms(1.0e6), ohms(0.0), ohms(2.0e6)])
            .unwrap()
            .unwrap();
        assert!(short.parallel.as_ohms() <= 0.0);
        assert_eq!(short.weakest, 1);
    }

    #[test]
    fn new_and_dry_asks_for_five_times_the_limit() {
        let [limit, new] =
            judge_isolation(IsolationCase::DirectSeparate, volts(400.0), ohms(1.0e5)).unwrap();
        assert_eq!(limit.verdict, Verdict::Holds);
        assert_eq!(new.verdict, Verdict::Fails);
    }

    #[test]
    fn a_monitor_without_datasheet_is_open_in_every_point() {
        let duty = MonitorDuty {
            case: IsolationCase::Connected,
            capacitance: Capacitance::from_farads(1.0e-6).unwrap(),
            lowest: volts(250.0),
            highest: volts(403.0),
            response: Time::from_seconds(30.0).unwrap(),
        };
        let unknown = MonitorRange {
            capacitance: None,
            lowest: None,
            highest: None,
            response: None,
            alarm: None,
        };
        for judged in judge_monitor(&duty, &unknown).unwrap() {
            assert_eq!(judged.verdict, Verdict::Open);
        }
        let known = MonitorRange {
            capacitance: Some(Capacitance::from_farads(0.9e-6).unwrap()),
            lowest: Some(volts(0.0)),
            highest: Some(volts(600.0)),
            response: Some(Time::from_seconds(20.0).unwrap()),
            alarm: Some(ohms(202_000.0)),
        };
        let judged = judge_monitor(&duty, &known).unwrap();
        let fails: std::vec::Vec<_> = judged
            .iter()
            .filter(|judged| judged.verdict == Verdict::Fails)
            .map(|judged| judged.name)
            .collect();
        assert_eq!(fails, [IsolationCheck::MonitorCapacitance]);
    }
}
