//! Published values that are computed or chosen by a rule.

use orangeloom_core::error::Error;
use orangeloom_core::quantity::{Altitude, ConductorArea, Length, Voltage};
use orangeloom_core::standard::awg::{Gauge, strand_resistance_20};
use orangeloom_core::standard::grouping::{GroupingRow, grouping_factor};
use orangeloom_core::standard::iec60228::{self, ConductorClass};
use orangeloom_core::standard::iec60287::InAir;
use orangeloom_core::standard::iec60664::{MaterialGroup, PollutionDegree, reinforced_impulse_v};
use orangeloom_core::standard::iec60664_altitude::altitude_correction;
use orangeloom_core::standard::iec60664_clearance::{impulse_clearance, peak_clearance};
use orangeloom_core::standard::iec60664_creepage::{Surface, creepage_distance};
use orangeloom_core::standard::metal::Metal;

use crate::lines::{Lines, NONE, bits, outcome, word};
use crate::sample::Sample;

pub(crate) fn cases(lines: &mut Lines<'_>) {
    lines.many("standard/iec60228_resistance", |s| {
        let classes = [ConductorClass::Class2, ConductorClass::Class5];
        let nominal = [1.5, 10.0, 35.0, 70.0, 240.0, 300.0];
        let (class, metal) = (s.one_of(classes), s.one_of(Metal::ALL));
        // Half a percent either way still means the nominal section.
        let asked = s.one_of(nominal) * s.between(0.99, 1.01);
        outcome(
            ConductorArea::from_mm2(asked)
                .and_then(|section| iec60228::resistance_20(class, metal, section)),
        )
    });
    lines.many("standard/awg_area", |s| outcome(gauge(s).area()));
    lines.many("standard/awg_strand_resistance", |s| {
        let metal = s.one_of(Metal::ALL);
        outcome(
            gauge(s)
                .area()
                .and_then(|area| strand_resistance_20(metal, area)),
        )
    });
    lines.many("standard/surface_in_air", |s| {
        let row = s.one_of(InAir::ALL);
        let diameter = Length::from_mm(s.between(5.0, 120.0));
        outcome(diameter.and_then(|diameter| row.heat_dissipation(diameter)))
    });
    lines.many("standard/grouping", |s| {
        let row = s.one_of(GroupingRow::ALL);
        outcome(grouping_factor(row, s.up_to(24)))
    });
    lines.many("standard/altitude", |s| {
        let altitude = Altitude::from_metres(s.within(Altitude::BOUND));
        word(
            altitude
                .and_then(altitude_correction)
                .map(|found| bits(found.factor) ^ bits(found.pressure.into()).rotate_left(8)),
        )
    });
    lines.many("standard/clearance", |s| word(clearance(s)));
    lines.many("standard/creepage", |s| word(creepage(s)));
}

/// For an impulse and for a peak of up to 12 kV.
fn clearance(s: &mut Sample) -> Result<u32, Error> {
    let impulse_v = reinforced_impulse_v(s.between(200.0, 12000.0));
    let pollution = s.one_of(PollutionDegree::ALL);
    let (by_impulse, _) = impulse_clearance(Voltage::from_volts(impulse_v)?, pollution)?;
    let by_peak = peak_clearance(Voltage::from_volts(s.between(20.0, 8000.0))?)?;
    Ok(bits(by_impulse.as_mm()) ^ bits(by_peak.as_mm()).rotate_left(8))
}

fn creepage(s: &mut Sample) -> Result<u32, Error> {
    let working = Voltage::from_volts(s.between(5.0, 1000.0))?;
    let surface = s.one_of([Surface::Plain, Surface::Ribbed, Surface::PrintedWiring]);
    let (pollution, group) = (s.one_of(PollutionDegree::ALL), s.one_of(MaterialGroup::ALL));
    let found = creepage_distance(working, pollution, group, surface)?;
    Ok(found.map_or(NONE, |(distance, _)| bits(distance.as_mm())))
}

/// A gauge from 4/0 to 40.
fn gauge(sample: &mut Sample) -> Gauge {
    const FOUR_AUGHT: i8 = -3;
    let number = FOUR_AUGHT.saturating_add_unsigned(sample.up_to(43));
    Gauge::new(number).unwrap_or_else(|_| panic!("{number} is a gauge"))
}
