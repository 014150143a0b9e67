//! Shield and cable class of every circuit of the high-voltage side.

use super::super::unknown::entry as known;
use super::unshielded::LOW_VOLTAGE_DISTANCE;
use super::{BoxDistances, Checked, Known, Unknown};
use crate::design::{
    CableType, CableTypeId, Conductor, ConductorId, Design, Gap, Measured, Reading, ShieldEnd,
    Terminal, TerminalId, WhichEnd,
};
use crate::insulation::{StrapMetal, strap_section};
use crate::quantity::{ConductorArea, CurrentSquaredTime, Length, Temperature, Voltage};
use crate::shield::{
    CableClassCheck, CableVoltageClass, ShieldNeed, TerminationCheck, braid, judge_cut_back,
    judge_pigtail,
};
use crate::size::question::Question;
use crate::standard::SourceId;
use crate::verdict::{Judged, Side, Verdict};

/// Least share of the surface that a braid covers where a shield is needed; common
/// practice of makers of high-voltage cable, no source.
pub const LEAST_COVERAGE: f32 = 0.85;

/// Hottest that a braid may become in a fault, in degC, whatever the insulation under it
/// bears: the jacket over it is often softer. A choice of this project.
pub const BRAID_LIMIT_DEGC: f32 = 200.0;

/// A check of a circuit's shield.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // it is there or needless, dense enough, thick enough
pub enum ShieldCheck {
    /// Whether there is one where one is needed; no value.
    Present,
    /// What it keeps from low-voltage wiring without one, in mm.
    LowVoltageDistance,
    /// Share of the surface that it covers.
    Coverage,
    /// Section of its strands, in mm2, for a fault between conductor and shield.
    Section,
}

/// What a circuit's insulation and shield have to be.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct CircuitInsulation {
    /// The conductor.
    pub conductor: ConductorId,
    /// Whether it needs a shield, and why.
    pub need: ShieldNeed,
    /// Least share of the surface that the shield covers; absent where none is needed.
    pub least_coverage: Option<f32>,
    /// Least section of the shield for a fault until its fuse clears.
    pub least_section: Known<ConductorArea>,
    /// From the edge of the shield to the bare conductor, at its start and at its end;
    /// absent where the surface is wet and no distance helps.
    pub least_cut_back: [Known<Option<Length>>; 2],
    /// Whether the shield is there.
    pub shield: Checked<ShieldCheck>,
    /// How far it keeps from low-voltage wiring, where nothing but that decides whether it
    /// may go without. What comes of it is in [`Self::shield`].
    pub distance: Checked<ShieldCheck>,
    /// What it covers.
    pub coverage: Checked<ShieldCheck>,
    /// How much metal it has.
    pub section: Checked<ShieldCheck>,
    /// How it ends: all round is a pigtail of 0 mm.
    pub ends: [Checked<TerminationCheck>; 2],
    /// The cut-backs that were measured.
    pub cut_backs: [Checked<TerminationCheck>; 2],
    /// Lowest voltage class that bears the highest voltage; none above 1500 V.
    pub least_class: Known<Option<CableVoltageClass>>,
    /// Voltage class of its cable.
    pub voltage: Checked<CableClassCheck>,
    /// Hottest lasting temperature of the conductor against what its cable allows.
    pub temperature: Checked<CableClassCheck>,
}

impl CircuitInsulation {
    /// The worst verdict of its checks.
    pub fn verdict(&self) -> Verdict {
        let [start, end] = self.ends;
        let [cut_start, cut_end] = self.cut_backs;
        [
            self.shield.verdict(),
            self.coverage.verdict(),
            self.section.verdict(),
            start.verdict(),
            end.verdict(),
            cut_start.verdict(),
            cut_end.verdict(),
            self.voltage.verdict(),
            self.temperature.verdict(),
        ]
        .into_iter()
        .fold(Verdict::NotApplicable, Verdict::worse)
    }
}

/// What one circuit is looked at with.
pub(super) struct Circuits<'a> {
    pub(super) design: &'a Design,
    pub(super) highest: Known<Voltage>,
    pub(super) boxes: &'a [BoxDistances],
}

impl Circuits<'_> {
    pub(super) fn circuit(
        &self,
        id: ConductorId,
        entry: &Conductor,
        fault: Known<CurrentSquaredTime>,
        hottest: Option<Temperature>,
    ) -> CircuitInsulation {
        let cable = self.cable(id, entry);
        let (need, gap) = self.need(entry);
        let needed = need != ShieldNeed::MayBeUnshielded;
        let least_section = fault.and_then(|fault| least_section(cable?, fault));
        let least_cut_back = [entry.from, entry.to].map(|end| self.cut_back(end));
        let shield = present(cable, need, Unknown::missing(id, gap));
        let distance = match need {
            ShieldNeed::MayBeUnshielded => low_voltage_distance(id, entry),
            ShieldNeed::NearLowVoltage if shield.verdict() == Verdict::Fails => {
                low_voltage_distance(id, entry)
            }
            ShieldNeed::Unknown if gap == Gap::LowVoltageDistance && is_bare(cable) => {
                low_voltage_distance(id, entry)
            }
            _ => not_applicable(ShieldCheck::LowVoltageDistance),
        };
        // A shield that is there by choice is held against nothing.
        let counts = needed && shield.verdict() != Verdict::Fails;
        let built = cable.and_then(|(part, cable)| {
            let build = cable.braid.ok_or(Unknown::missing(part, Gap::Braid))?;
            braid(&build).map_err(Unknown::refused(part))
        });
        let coverage = if counts {
            judge(
                ShieldCheck::Coverage,
                built.map(|metal| metal.coverage.as_fraction()),
                Ok(LEAST_COVERAGE),
                SourceId::CommonPractice,
            )
        } else {
            not_applicable(ShieldCheck::Coverage)
        };
        let section = if counts {
            judge(
                ShieldCheck::Section,
                built.map(|metal| metal.strand_area.as_mm2()),
                least_section.map(ConductorArea::as_mm2),
                SourceId::Iec60949,
            )
        } else {
            not_applicable(ShieldCheck::Section)
        };
        let [start, end] = entry.ends;
        let [cut_start, cut_end] = least_cut_back;
        let cut = |least, which| {
            if counts {
                self.judge_cut(id, which, least)
            } else {
                not_applicable(TerminationCheck::CutBack)
            }
        };
        let ends = [start, end].map(|end| {
            if counts {
                termination(id, end.shield)
            } else {
                not_applicable(TerminationCheck::Pigtail)
            }
        });
        CircuitInsulation {
            conductor: id,
            need,
            least_coverage: needed.then_some(LEAST_COVERAGE),
            least_section,
            least_cut_back,
            shield,
            distance,
            coverage,
            section,
            ends,
            cut_backs: [cut(cut_start, WhichEnd::From), cut(cut_end, WhichEnd::To)],
            least_class: self.highest.and_then(|highest| {
                CableVoltageClass::least(highest, false).map_err(Unknown::refused(id))
            }),
            voltage: self.voltage(cable),
            temperature: temperature(id, cable, hottest),
        }
    }

    fn cable(&self, id: ConductorId, entry: &Conductor) -> Known<Part<'_>> {
        let part = entry.cable.ok_or(Unknown::missing(id, Gap::CableType))?;
        Ok((part, known(self.design, part)?))
    }

    /// The creepage distance that the box at one end asks for.
    fn cut_back(&self, end: TerminalId) -> Known<Option<Length>> {
        let terminal = self.design.get(end);
        let enclosure = terminal.and_then(|terminal: &Terminal| terminal.enclosure);
        let found = self
            .boxes
            .iter()
            .find(|found| Some(found.enclosure) == enclosure);
        let found = found.ok_or(Unknown::missing(end, Gap::Box))?;
        Ok(found.basic?.creepage)
    }

    fn judge_cut(
        &self,
        id: ConductorId,
        which: WhichEnd,
        least: Known<Option<Length>>,
    ) -> Checked<TerminationCheck> {
        let of_end = |reading: &Reading| match reading.measured {
            Measured::CutBack(length) if reading.end == Some(which) => Some(length),
            _ => None,
        };
        let measured = self.design.latest_reading(id.into(), of_end);
        let measured = measured.map(|(_, reading, length)| {
            let worse = self
                .design
                .worse_end(&reading, length.as_mm(), Side::AtLeast);
            Length::from_mm(worse).unwrap_or(length)
        });
        match (least, measured) {
            (Ok(Some(least)), _) => Checked::open_because(
                judge_cut_back(measured, least),
                Unknown::missing(id, Gap::CutBack),
            ),
            (Ok(None), _) => Checked::sure(Judged {
                value: measured.map(Length::as_mm),
                ..Judged::failed_without_value(
                    TerminationCheck::CutBack,
                    Side::AtLeast,
                    None,
                    SourceId::Iec60664Wet,
                )
            }),
            (Err(because), _) => Checked::open_because(
                Judged::open(
                    TerminationCheck::CutBack,
                    measured.map(Length::as_mm),
                    Side::AtLeast,
                    None,
                    SourceId::Iec60664Creepage,
                ),
                because,
            ),
        }
    }

    fn voltage(&self, cable: Known<Part<'_>>) -> Checked<CableClassCheck> {
        let class = cable.ok().and_then(|(_, cable)| cable.voltage_class);
        let because = match (cable, self.highest) {
            (Ok((part, _)), Ok(_)) => Unknown::missing(part, Gap::VoltageClass),
            (Err(because), _) | (_, Err(because)) => because,
        };
        let limit = class.map(|class| class.highest_v(false));
        let value = self.highest.ok().map(Voltage::as_volts);
        Checked::open_because(
            Judged::known(
                CableClassCheck::Voltage,
                value,
                Side::AtMost,
                limit,
                SourceId::Iso19642Class,
            ),
            because,
        )
    }
}

/// The type of a cable, with its number.
type Part<'a> = (CableTypeId, &'a CableType);

fn temperature(
    id: ConductorId,
    cable: Known<Part<'_>>,
    hottest: Option<Temperature>,
) -> Checked<CableClassCheck> {
    let limit = cable.ok().and_then(|(_, cable)| cable.temperature_class);
    let because = match (cable, limit) {
        (Err(because), _) => because,
        (Ok((part, _)), None) => Unknown::missing(part, Gap::TemperatureClass),
        _ => Unknown::missing(id, Gap::ConductorTemperature),
    };
    let (value, limit) = (
        hottest.map(Temperature::as_degc),
        limit.map(Temperature::as_degc),
    );
    let name = CableClassCheck::Temperature;
    Checked::open_because(
        Judged::known(name, value, Side::AtMost, limit, SourceId::Entered),
        because,
    )
}

/// Section that carries the fault between the cable's own limit and what the braid may
/// become.
fn least_section((part, cable): Part<'_>, fault: CurrentSquaredTime) -> Known<ConductorArea> {
    let [start, limit] = shield_span(part, cable)?;
    // A braid of tinned copper has the heat capacity of copper.
    strap_section(StrapMetal::Copper, fault, start, limit).map_err(Unknown::refused(part))
}

/// From where to where a fault may heat the shield of a cable.
pub(crate) fn shield_span(part: CableTypeId, cable: &CableType) -> Known<[Temperature; 2]> {
    // The shield is never hotter than the conductor, which is not hotter than this.
    let start = cable.temperature_class;
    let start = start.ok_or(Unknown::missing(part, Gap::TemperatureClass))?;
    let usual = Question::usual_short_circuit_limit(start).as_degc();
    let limit = Temperature::from_degc(libm::fminf(usual, BRAID_LIMIT_DEGC));
    Ok([start, limit.map_err(Unknown::refused(part))?])
}

fn present(cable: Known<Part<'_>>, need: ShieldNeed, because: Unknown) -> Checked<ShieldCheck> {
    let name = ShieldCheck::Present;
    let source = SourceId::CommonPractice;
    let open = || Judged::open(name, None, Side::AtLeast, None, source);
    if need == ShieldNeed::MayBeUnshielded {
        return not_applicable(name);
    }
    let (part, cable) = match cable {
        Ok(known) => known,
        Err(because) => return Checked::open_because(open(), because),
    };
    match (cable.shielded, need) {
        (Some(true), _) => Checked::sure(Judged {
            verdict: Verdict::Holds,
            ..open()
        }),
        (None, _) => Checked::open_because(open(), Unknown::missing(part, Gap::Shielded)),
        (Some(false), ShieldNeed::Unknown) => Checked::open_because(open(), because),
        (Some(false), _) => Checked::sure(Judged::failed_without_value(
            name,
            Side::AtLeast,
            None,
            source,
        )),
    }
}

/// Whether it is known that a cable has no shield.
fn is_bare(cable: Known<Part<'_>>) -> bool {
    cable.is_ok_and(|(_, cable)| cable.shielded == Some(false))
}

fn low_voltage_distance(id: ConductorId, entry: &Conductor) -> Checked<ShieldCheck> {
    let missing = Unknown::missing(id, Gap::LowVoltageDistance);
    judge(
        ShieldCheck::LowVoltageDistance,
        entry.low_voltage_distance.map(Length::as_mm).ok_or(missing),
        Ok(LOW_VOLTAGE_DISTANCE.as_mm()),
        SourceId::CommonPractice,
    )
}

fn termination(id: ConductorId, end: Option<ShieldEnd>) -> Checked<TerminationCheck> {
    match end {
        Some(ShieldEnd::Round) => Checked::sure(judge_pigtail(Length::from_mm(0.0).ok())),
        Some(ShieldEnd::Pigtail(length)) => Checked::sure(judge_pigtail(Some(length))),
        // Bonded at one end only, the shield drives no current against the field.
        Some(ShieldEnd::NotConnected) => Checked::sure(Judged {
            verdict: Verdict::Fails,
            ..judge_pigtail(None)
        }),
        None => Checked::open_because(judge_pigtail(None), Unknown::missing(id, Gap::ShieldEnd)),
    }
}

fn not_applicable<N>(name: N) -> Checked<N> {
    Checked::sure(Judged {
        verdict: Verdict::NotApplicable,
        ..Judged::open(name, None, Side::AtLeast, None, SourceId::CommonPractice)
    })
}

fn judge(
    name: ShieldCheck,
    value: Known<f32>,
    limit: Known<f32>,
    source: SourceId,
) -> Checked<ShieldCheck> {
    match (value, limit) {
        (Ok(value), Ok(limit)) => {
            Checked::sure(Judged::compare(name, value, Side::AtLeast, limit, source))
        }
        (Err(because), limit) | (_, limit @ Err(because)) => Checked::open_because(
            Judged::open(name, value.ok(), Side::AtLeast, limit.ok(), source),
            because,
        ),
    }
}
