//! Everything that follows from a whole vehicle.

use orangeloom_core::design::{Conductor, Fuse, Phase, System};
use orangeloom_core::network::Workspace;
use orangeloom_core::quantity::Current;
use orangeloom_core::study::{ConductorStudy, Known, Repeating, Solved, Study};
use orangeloom_core::verdict::{Judged, Verdict};

use crate::lines::{Fingerprint, Lines, NONE, bits};
use crate::vehicle::truck;

pub(crate) fn cases(lines: &mut Lines<'_>) {
    let Some(design) = truck() else {
        // Only one side prints this; or both do and the count of the test below tells.
        lines.word("study/unreadable", NONE);
        return;
    };
    let mut study = Study::new();
    study.compute(&design, &mut Workspace::new());
    lines.word("study/verdict", verdict(study.verdict(&design)));
    for (id, _) in design.all::<Conductor>() {
        let name = design.name(id.into()).unwrap_or_default();
        let mut word = Word::default();
        match study.conductor(id) {
            Ok(conductor) => word.conductor(&conductor),
            Err(_) => word.add(NONE),
        }
        lines.named("study/conductor-", name, word.0.finish());
    }
    let mut currents = Word::default();
    for (phase, _) in design.all::<Phase>() {
        for system in [System::Traction, System::LowVoltage] {
            let solved = study.points.solved(phase, system);
            currents.add(u32::from(matches!(solved, Solved::Settled { .. })));
        }
        for (id, _) in design.all::<Conductor>() {
            currents.amperes(study.points.current(phase, id));
        }
        for (id, _) in design.all::<Fuse>() {
            currents.amperes(study.points.current(phase, id));
        }
    }
    lines.word("study/currents", currents.0.finish());
    let mut strings = Word::default();
    for string in &study.strings {
        strings.known(string.sag.map(f32::from));
        strings.known(string.energy.map(f32::from));
        string
            .limits
            .iter()
            .for_each(|judged| strings.judged(judged));
    }
    lines.word("study/strings", strings.0.finish());
    let mut loads = Word::default();
    for load in &study.loads {
        load.limits.iter().for_each(|judged| loads.judged(judged));
    }
    for converter in &study.converters {
        loads.judged(&converter.output);
    }
    lines.word("study/loads", loads.0.finish());
    let mut mass = Word::default();
    mass.known(study.cable_mass.map(f32::from));
    mass.known(study.low_voltage_cable_mass.map(f32::from));
    mass.known(study.low_voltage.reserve.map(f32::from));
    lines.word("study/whole", mass.0.finish());
}

const fn verdict(verdict: Verdict) -> u32 {
    verdict as u32
}

/// Many results in one word; order matters.
#[derive(Default)]
struct Word(Fingerprint);

impl Word {
    fn add(&mut self, word: u32) {
        self.0.add(word);
    }

    fn known(&mut self, value: Known<f32>) {
        self.add(value.map_or(NONE, bits));
    }

    fn amperes(&mut self, current: Option<Current>) {
        self.add(current.map_or(NONE, |current| bits(current.as_amperes())));
    }

    fn judged<N>(&mut self, judged: &Judged<N>) {
        self.add(judged.value.map_or(NONE, bits));
        self.add(judged.limit.map_or(NONE, bits));
        self.add(verdict(judged.verdict));
    }

    fn conductor(&mut self, conductor: &ConductorStudy) {
        self.known(conductor.drop.map(f32::from));
        self.known(conductor.loss.map(f32::from));
        self.known(conductor.mass.map(f32::from));
        self.amperes(conductor.largest.ok().map(|(_, current)| current));
        if let Ok(warmest) = conductor.warmest {
            self.amperes(warmest.ampacity);
            self.add(bits(warmest.warmth.rms.as_amperes()));
            match warmest.warmth.duty {
                Repeating::Periodic { peak, at, .. } => {
                    self.add(bits(peak.as_degc()));
                    self.add(bits(at.as_seconds()));
                }
                Repeating::RunsAway => self.add(NONE),
            }
        }
        conductor
            .limits
            .iter()
            .for_each(|judged| self.judged(judged));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::string::{String, ToString};
    use std::vec::Vec;

    #[test]
    fn the_truck_is_read_and_every_conductor_has_results() {
        let mut seen: Vec<(String, u32)> = Vec::new();
        cases(&mut Lines::new(&mut |name, bits| {
            seen.push((name.to_string(), bits));
        }));
        let conductors = seen
            .iter()
            .filter(|(name, _)| name.starts_with("study/conductor-"));
        assert_eq!(conductors.count(), 29);
        assert_eq!(
            seen[0],
            ("study/verdict".to_string(), verdict(Verdict::Holds))
        );
        let mut none = Word::default();
        none.add(NONE);
        let none = none.0.finish();
        assert!(seen.iter().all(|(_, bits)| *bits != none));
    }
}
