//! What all parts of the high-voltage side together leave to chassis.

use heapless::Vec;

use super::{Checked, Context, Known, Unknown};
use crate::design::{Charged, Gap, Load, LoadId, MAX_LOADS, Role, Thing};
use crate::insulation::{
    IsolationBudget, IsolationCase, IsolationCheck, MonitorDuty, MonitorRange, PoleVoltages,
    TouchCheck, TouchEnergy, isolation_budget, judge_budget, judge_monitor, judge_touch_energy,
    touch_energy,
};
use crate::quantity::{Capacitance, Resistance, Time, Voltage};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side, Verdict};

/// Longest time from a fault to the alarm of the monitor, in s. Read in the rules of a
/// student competition, the only ones here that state a time.
pub const ALARM_WITHIN_S: f32 = 30.0;

/// Resistance, capacitance and monitor between the high-voltage side and chassis.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ToChassis {
    /// The isolation rule that counts: the stated one, but never a milder one than the
    /// loads allow; without it the strictest.
    pub case: IsolationCase,
    /// Parallel sum of all parts that are known; absent where none is.
    pub parallel: Option<Resistance>,
    /// The part with the smallest resistance.
    pub weakest: Option<LoadId>,
    /// That sum against the limit, in ohm.
    pub budget: Checked<IsolationCheck>,
    /// Capacitance to chassis of all parts that are known, both poles together.
    pub capacitance: Option<Capacitance>,
    /// Energy that it holds, touched balanced and in the worst case.
    pub energy: Option<TouchEnergy>,
    /// The worst case against 0.2 J.
    pub touch: Checked<TouchCheck>,
    /// Whether the monitor works over the whole range of the vehicle.
    pub monitor: [Checked<IsolationCheck>; 5],
}

impl ToChassis {
    /// The worst verdict of its checks.
    pub fn verdict(&self) -> Verdict {
        let worst = self.budget.verdict().worse(self.touch.verdict());
        let monitor = self.monitor.iter().map(Checked::verdict);
        monitor.fold(worst, Verdict::worse)
    }
}

impl Context<'_> {
    fn loads(&self) -> impl Iterator<Item = (LoadId, &Load)> {
        self.design
            .all::<Load>()
            .filter(|(_, load)| self.is_high(load.positive))
    }

    pub(super) fn to_chassis(&self) -> ToChassis {
        let (case, case_gap) = self.isolation_case();
        let mut parts: Vec<Resistance, MAX_LOADS, u8> = Vec::new();
        let mut of: Vec<LoadId, MAX_LOADS, u8> = Vec::new();
        for (id, load) in self.loads() {
            if let Some(isolation) = load.isolation {
                // There are as many places as loads.
                let _ = parts.push(isolation);
                let _ = of.push(id);
            }
        }
        let silent = self.first_without(|load| load.isolation.is_some(), Gap::Isolation);
        let sum: Option<IsolationBudget> = isolation_budget(&parts).ok().flatten();
        let budget = self.budget(case, &parts, case_gap, silent);
        let (capacitance, energy, touch) = self.touch();
        ToChassis {
            case,
            parallel: sum.map(|sum| sum.parallel),
            weakest: sum.and_then(|sum| of.get(sum.weakest).copied()),
            budget,
            capacitance,
            energy,
            touch,
            monitor: self.monitor(case, capacitance),
        }
    }

    /// The first load that does not say something; without any load nothing is known of
    /// the vehicle.
    fn first_without(&self, says: impl Fn(&Load) -> bool, gap: Gap) -> Option<Unknown> {
        if self.loads().next().is_none() {
            return Some(Unknown::Missing(Thing::VEHICLE, gap));
        }
        let silent = self.loads().find(|(_, load)| !says(load));
        silent.map(|(id, _)| Unknown::missing(id, gap))
    }

    /// The rule that counts, and what could make it a milder one.
    fn isolation_case(&self) -> (IsolationCase, Option<Gap>) {
        let strictest = IsolationCase::Connected;
        match self.design.vehicle.isolation_case {
            None => (strictest, Some(Gap::IsolationCase)),
            // Direct current alone, and a load that has alternating current on it: what does
            // not say that it has none, and every drive, whatever it says.
            Some(IsolationCase::DirectSeparate)
                if self.loads().any(|(_, load)| {
                    load.role == Role::Drive || load.alternating != Some(false)
                }) =>
            {
                (strictest, None)
            }
            Some(case) => (case, None),
        }
    }

    fn budget(
        &self,
        case: IsolationCase,
        parts: &[Resistance],
        case_gap: Option<Gap>,
        silent: Option<Unknown>,
    ) -> Checked<IsolationCheck> {
        let judged = self.highest.and_then(|highest| {
            judge_budget(case, highest, parts).map_err(Unknown::refused(Thing::VEHICLE))
        });
        let nobody = Unknown::Missing(Thing::VEHICLE, Gap::Isolation);
        let mut found = match judged {
            Ok(judged) => Checked::open_because(judged, silent.unwrap_or(nobody)),
            Err(because) => Checked::open_because(
                Judged::open(
                    IsolationCheck::Budget,
                    None,
                    Side::AtLeast,
                    None,
                    SourceId::ParallelSum,
                ),
                because,
            ),
        };
        // Another part only lowers the sum: what fails already fails.
        if let Some(silent) = silent {
            found = found.doubted(Verdict::Holds, silent);
        }
        if let Some(gap) = case_gap {
            found = found.doubted(Verdict::Fails, Unknown::Missing(Thing::VEHICLE, gap));
        }
        found
    }

    fn touch(
        &self,
    ) -> (
        Option<Capacitance>,
        Option<TouchEnergy>,
        Checked<TouchCheck>,
    ) {
        let (mut positive, mut negative) = (0.0, 0.0);
        let mut known = false;
        for (_, load) in self.loads() {
            known |= load.y_positive.is_some() || load.y_negative.is_some();
            positive += load.y_positive.map_or(0.0, Capacitance::as_farads);
            negative += load.y_negative.map_or(0.0, Capacitance::as_farads);
        }
        let nothing = Judged::open(
            TouchCheck::CapacitorEnergy,
            None,
            Side::AtMost,
            Some(crate::insulation::Y_ENERGY_LIMIT_J),
            SourceId::Iso6469YEnergy,
        );
        let silent = self.silent_of_capacitance();
        if let (false, Some(silent)) = (known, silent) {
            return (None, None, Checked::open_because(nothing, silent));
        }
        let both = Capacitance::from_farads(positive + negative).ok();
        let energy = self.highest.and_then(|highest| {
            let refused = Unknown::refused(Thing::VEHICLE);
            let positive = Capacitance::from_farads(positive).map_err(&refused)?;
            let negative = Capacitance::from_farads(negative).map_err(&refused)?;
            touch_energy(highest, positive, negative, PoleVoltages::Balanced).map_err(&refused)
        });
        match energy {
            Ok(energy) => {
                let judged = Checked::sure(judge_touch_energy(&energy));
                // Another capacitor only adds.
                let judged = match silent {
                    Some(silent) => judged.doubted(Verdict::Holds, silent),
                    None => judged,
                };
                (both, Some(energy), judged)
            }
            Err(because) => (both, None, Checked::open_because(nothing, because)),
        }
    }

    fn silent_of_capacitance(&self) -> Option<Unknown> {
        let says = |load: &Load| load.y_positive.is_some() && load.y_negative.is_some();
        self.first_without(says, Gap::YCapacitance)
    }

    fn monitor(
        &self,
        case: IsolationCase,
        capacitance: Option<Capacitance>,
    ) -> [Checked<IsolationCheck>; 5] {
        const NO_SHEET: MonitorRange = MonitorRange {
            capacitance: None,
            lowest: None,
            highest: None,
            response: None,
            alarm: None,
        };
        let range = self.design.vehicle.monitor.unwrap_or(NO_SHEET);
        let judged = self.monitor_duty(case, capacitance).and_then(|duty| {
            judge_monitor(&duty, &range).map_err(Unknown::refused(Thing::VEHICLE))
        });
        let silent = self.silent_of_capacitance();
        let sheet = Unknown::Missing(Thing::VEHICLE, Gap::Monitor);
        match judged {
            Ok(judged) => judged.map(|judged| {
                let of_capacitance = judged.name == IsolationCheck::MonitorCapacitance;
                let checked = Checked::open_because(judged, sheet);
                // Another capacitor only adds.
                match silent {
                    Some(silent) if of_capacitance => checked.doubted(Verdict::Holds, silent),
                    _ => checked,
                }
            }),
            Err(because) => MONITOR.map(|(name, side)| {
                let open = Judged::open(name, None, side, None, SourceId::CommonPractice);
                Checked::open_because(open, because)
            }),
        }
    }

    fn monitor_duty(
        &self,
        case: IsolationCase,
        capacitance: Option<Capacitance>,
    ) -> Known<MonitorDuty> {
        let refused = Unknown::refused(Thing::VEHICLE);
        let no_cell = Unknown::Missing(Thing::VEHICLE, Gap::CellVoltage);
        let no_capacitance = Unknown::Missing(Thing::VEHICLE, Gap::YCapacitance);
        let highest = self.highest?;
        let mut lowest: Option<Voltage> = None;
        for group in 0..self.strings.group_count() {
            let this = self
                .strings
                .group_voltage(self.design, group, Charged::Minimum)
                .map_err(&refused)?
                .ok_or(no_cell)?;
            lowest = Some(lowest.map_or(this, |known| if this < known { this } else { known }));
        }
        Ok(MonitorDuty {
            case,
            capacitance: capacitance
                .ok_or(self.silent_of_capacitance().unwrap_or(no_capacitance))?,
            lowest: lowest.ok_or(no_cell)?,
            highest,
            response: Time::from_seconds(ALARM_WITHIN_S).map_err(&refused)?,
        })
    }
}

/// The checks of the monitor in the order of [`judge_monitor`].
const MONITOR: [(IsolationCheck, Side); 5] = [
    (IsolationCheck::MonitorCapacitance, Side::AtMost),
    (IsolationCheck::MonitorHighestVoltage, Side::AtMost),
    (IsolationCheck::MonitorLowestVoltage, Side::AtLeast),
    (IsolationCheck::MonitorResponse, Side::AtMost),
    (IsolationCheck::MonitorAlarm, Side::AtLeast),
];
