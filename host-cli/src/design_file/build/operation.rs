//! Phases and duties.

use orangeloom_core::design::{
    Contactor, Duty, Load, MAX_DUTY_STEPS, Phase, PhaseDraw, ServiceDisconnect,
};

use super::Builder;
use crate::design_file::keys::Tag;
use crate::design_file::problem::{Problem, ProblemName};
use crate::design_file::tree::Tree;
use crate::design_file::walk::{Table, Written, read_draw, wrong_type};

impl Builder<'_> {
    pub(super) fn phase(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let name = self.name(table);
        let duration = table.quantity("duration", &mut self.report);
        let closed = self.refers::<Contactor>(table, "closed", Tag::Contactor);
        let out = self.refers::<ServiceDisconnect>(table, "out", Tag::ServiceDisconnect);
        let draws = self.draws(table);
        let Some((name, written)) = name else { return };
        let phase = Phase {
            duration,
            closed: closed.into_iter().collect(),
            out: out.into_iter().collect(),
            ..Phase::new(name)
        };
        let Some(phase) = self.add(phase, written.place, mark) else {
            return;
        };
        for (load, draw, place) in draws {
            self.add(PhaseDraw { phase, load, draw }, &place, self.mark());
        }
    }

    fn draws(
        &mut self,
        table: Table<'_>,
    ) -> Vec<(
        orangeloom_core::design::LoadId,
        orangeloom_core::design::Draw,
        crate::design_file::source::Place,
    )> {
        let mut draws = Vec::new();
        let Some(node) = table.node("draws") else {
            return draws;
        };
        let Tree::Table(entries) = &node.value else {
            if let Some(row) = table.section.row("draws") {
                self.report.add(wrong_type(row, node));
            }
            return draws;
        };
        for entry in entries {
            let load = Written {
                text: &entry.key,
                place: &entry.place,
            };
            let load = self.find::<Load>("draws", &load, Tag::Load);
            let draw = read_draw(&entry.key, &entry.node, &mut self.report);
            if let (Some(load), Some(draw)) = (load, draw) {
                draws.push((load, draw, entry.node.place.clone()));
            }
        }
        draws
    }

    pub(super) fn duty(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let name = self.name(table);
        let phases = self.refers::<Phase>(table, "phases", Tag::Phase);
        let Some((name, written)) = name else { return };
        let mut duty = Duty::new(name);
        let count = phases.len();
        for phase in phases {
            if duty.phases.push(phase).is_err() {
                let what = format!("the duty has {count} phases where {MAX_DUTY_STEPS} fit");
                let place = table.place_of("phases");
                let problem = Problem::new(ProblemName::TooMany, place, what)
                    .advice("put phases of one draw together into a longer one");
                self.report.add(problem);
                break;
            }
        }
        self.add(duty, written.place, mark);
    }
}
