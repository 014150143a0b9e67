//! The study itself: everything computed once from a design.

use heapless::Vec;

use super::conductor::{ConductorStudy, Gathered, alike, study_conductor};
use super::load::{
    ConverterStudy, LoadStudy, LowVoltageStudy, study_converter, study_load, study_low_voltage,
};
use super::pack::{PackStudy, StringStudy, study_pack, study_string};
use super::points::Points;
#[cfg(feature = "text")]
use super::sequence::SequencePart;
use super::sequence::SequenceStudy;
use super::unknown::{Known, Unknown};
#[cfg(feature = "text")]
use crate::design::ResistorId;
use crate::design::{
    Conductor, ConductorId, Converter, Design, Gap, Index, Load, LoadId, MAX_BATTERIES,
    MAX_CONDUCTORS, MAX_CONVERTERS, MAX_LOADS, Phase, System, Thing,
};
#[cfg(feature = "text")]
use crate::link::ResistorWindow;
use crate::network::Workspace;
use crate::quantity::{Mass, Temperature};
use crate::verdict::Verdict;

/// Temperature of a conductor in the network where the class of its cable is not known.
pub const ASSUMED_WARM: Temperature = constant!(Temperature::from_degc(90.0));

/// Everything computed once from a design.
///
/// Large (about 90 KiB): keep it in a `static` or on the heap.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Study {
    /// The operating point of every phase.
    pub points: Points,
    /// Every conductor, in the order of the design.
    pub conductors: Vec<Known<ConductorStudy>, MAX_CONDUCTORS, u8>,
    /// Every string of the traction battery, in the order of [`Design::strings`].
    pub strings: Vec<StringStudy, MAX_BATTERIES, u8>,
    /// The traction battery as a whole.
    pub pack: PackStudy,
    /// Every load of the high-voltage side.
    pub loads: Vec<LoadStudy, MAX_LOADS, u8>,
    /// What happens step by step: precharge, discharge, joining, closing.
    pub sequences: SequenceStudy,
    /// Every converter.
    pub converters: Vec<ConverterStudy, MAX_CONVERTERS, u8>,
    /// The low-voltage side as a whole.
    pub low_voltage: LowVoltageStudy,
    /// Mass of all cables of the high-voltage side.
    pub cable_mass: Known<Mass>,
    /// Mass of all cables of the low-voltage side.
    pub low_voltage_cable_mass: Known<Mass>,
}

const NOTHING: Unknown = Unknown::Missing(Thing::VEHICLE, Gap::Phase);

impl Default for Study {
    fn default() -> Self {
        Self::new()
    }
}

impl Study {
    /// A study of nothing.
    pub const fn new() -> Self {
        Self {
            points: Points::new(),
            conductors: Vec::new(),
            strings: Vec::new(),
            pack: PackStudy {
                highest_voltage: Err(NOTHING),
                braked: None,
                lowest_voltage: Err(NOTHING),
                energy: Err(NOTHING),
                cell_mass: Err(NOTHING),
            },
            loads: Vec::new(),
            sequences: SequenceStudy::new(),
            converters: Vec::new(),
            low_voltage: LowVoltageStudy {
                drawn: Err(NOTHING),
                reserve: Err(NOTHING),
            },
            cable_mass: Err(NOTHING),
            low_voltage_cable_mass: Err(NOTHING),
        }
    }

    /// Computes: everything from a design that [`Design::check`] finds no fault in.
    ///
    /// In the network every conductor is as hot as the class of its cable allows, or
    /// has [`ASSUMED_WARM`]: most drop, so most current for constant power. Bound: see
    /// [`Points::solve`], [`super::piece_warmth`].
    pub fn compute(&mut self, design: &Design, workspace: &mut Workspace) {
        self.currents(design, workspace);
        self.conductors.clear();
        for (id, _) in design.all::<Conductor>() {
            let gathered = self
                .twin(design, id)
                .unwrap_or_else(|| Gathered::new(design, &self.points, id));
            let studied = study_conductor(design, &self.points, id, &gathered);
            let _ = self.conductors.push(studied);
        }
        self.batteries(design);
        self.loads(design);
        let highest = self.pack.highest_voltage;
        self.sequences.find(design, &self.points, highest);
    }

    /// The operating point of every phase, with every conductor as hot as it may become.
    fn currents(&mut self, design: &Design, workspace: &mut Workspace) {
        self.points
            .solve(design, workspace, &class_temperatures(design));
    }

    /// The currents of one system again, for a design in which nothing but its resistances
    /// has changed, with what batteries and loads see of them; how hot conductors become
    /// stays as it was.
    #[cfg(feature = "text")]
    pub(crate) fn restudy_currents(
        &mut self,
        design: &Design,
        workspace: &mut Workspace,
        system: System,
    ) {
        let temperatures = class_temperatures(design);
        self.points
            .solve_again(design, workspace, &temperatures, system);
        self.batteries(design);
        self.loads(design);
    }

    /// Which precharge resistors keep every check, those of its part's ratings among them.
    #[cfg(feature = "text")]
    pub(crate) fn resistor_window(
        &self,
        design: &Design,
        id: ResistorId,
    ) -> Option<ResistorWindow> {
        let highest = self.pack.highest_voltage;
        SequenceStudy::resistor_window(design, &self.points, highest, id)
    }

    /// What happens step by step again, for a design with the same currents.
    #[cfg(feature = "text")]
    pub(crate) fn resequence(&mut self, design: &Design) {
        let highest = self.pack.highest_voltage;
        self.sequences.find(design, &self.points, highest);
    }

    /// One part of it again, for a design that differs in that part's ratings and
    /// resistances only.
    #[cfg(feature = "text")]
    pub(crate) fn resequence_part(&mut self, design: &Design, part: SequencePart) {
        let highest = self.pack.highest_voltage;
        self.sequences.again(design, &self.points, highest, part);
    }

    /// Studies one conductor again, for a design with the same currents: the same but for
    /// air, routes' surroundings and limits.
    #[cfg(feature = "text")]
    pub(crate) fn restudy(&mut self, design: &Design, id: ConductorId) {
        let gathered = Gathered::new(design, &self.points, id);
        let studied = study_conductor(design, &self.points, id, &gathered);
        if let Some(place) = self.conductors.get_mut(id.position()) {
            *place = studied;
        }
    }

    /// How hot one that was studied already and is alike in all that matters becomes:
    /// the two conductors of a circuit.
    fn twin(&self, design: &Design, id: ConductorId) -> Option<Gathered> {
        let others = design.all::<Conductor>().take(id.position());
        others.into_iter().find_map(|(other, _)| {
            let studied = self.conductor(other).ok()?;
            let likeness = alike(design, &self.points, id, other)?;
            Some(Gathered::again(&studied, likeness))
        })
    }

    fn batteries(&mut self, design: &Design) {
        let strings = design.strings(System::Traction);
        self.strings.clear();
        for (index, string) in strings.strings.iter().enumerate() {
            let studied = study_string(design, &self.points, &strings, (index, string));
            let _ = self.strings.push(studied);
        }
        self.pack = study_pack(design, &self.points, &strings, &self.strings);
    }

    fn loads(&mut self, design: &Design) {
        let systems = design.systems();
        let battery = self.pack.rated_voltage();
        self.loads.clear();
        for load in design.all::<Load>() {
            if let Some(studied) = study_load(design, &self.points, &systems, load, battery) {
                let _ = self.loads.push(studied);
            }
        }
        self.converters.clear();
        for converter in design.all::<Converter>() {
            let studied = study_converter(design, &self.points, converter);
            let _ = self.converters.push(studied);
        }
        self.low_voltage = study_low_voltage(design, &self.points, &systems);
        [self.cable_mass, self.low_voltage_cable_mass] = [System::Traction, System::LowVoltage]
            .map(|system| self.mass(design, |lead| systems.of(lead.from) == Some(system)));
    }

    fn mass(&self, design: &Design, counts: impl Fn(&Conductor) -> bool) -> Known<Mass> {
        let mut kg = 0.0;
        for (id, conductor) in design.all::<Conductor>() {
            if counts(conductor) {
                kg += self.conductor(id)?.mass?.as_kg();
            }
        }
        Mass::from_kg(kg).map_err(Unknown::refused(Thing::VEHICLE))
    }

    /// What a conductor does.
    ///
    /// # Errors
    /// Why it is not known; [`Gap::Phase`] for a conductor of another design.
    pub fn conductor(&self, id: ConductorId) -> Known<ConductorStudy> {
        self.conductors
            .get(id.position())
            .copied()
            .unwrap_or(Err(NOTHING))
    }

    /// What a load of the high-voltage side sees.
    pub fn load(&self, id: LoadId) -> Option<&LoadStudy> {
        self.loads.iter().find(|studied| studied.load == id)
    }

    /// The worst verdict of all limits of all things; without an operating point of
    /// every phase it fails, with a guessed one it is open.
    pub fn verdict(&self, design: &Design) -> Verdict {
        let mut worst = Verdict::NotApplicable;
        for (phase, _) in design.all::<Phase>() {
            for system in [System::Traction, System::LowVoltage] {
                worst = worst.worse(self.points.solved(phase, system).verdict());
            }
        }
        for conductor in &self.conductors {
            let verdict = conductor.map_or(Verdict::Open, |studied| studied.verdict());
            worst = worst.worse(verdict);
        }
        let strings = self.strings.iter().flat_map(|string| &string.limits);
        worst = strings.fold(worst, |worst, judged| worst.worse(judged.verdict));
        let loads = self.loads.iter().flat_map(|load| &load.limits);
        worst = loads.fold(worst, |worst, judged| worst.worse(judged.verdict));
        let outputs = self.converters.iter();
        outputs.fold(worst, |worst, one| worst.worse(one.output.verdict))
    }
}

/// Each conductor as hot as the class of its cable allows.
fn class_temperatures(design: &Design) -> Vec<Temperature, MAX_CONDUCTORS, u8> {
    let mut temperatures = Vec::new();
    for (_, conductor) in design.all::<Conductor>() {
        let class = conductor
            .cable
            .and_then(|cable| design.get(cable)?.temperature_class);
        // There are as many places as conductors.
        let _ = temperatures.push(class.unwrap_or(ASSUMED_WARM));
    }
    temperatures
}
