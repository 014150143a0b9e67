//! The braid around a cable.

use orangeloom_core::error::Error;
use orangeloom_core::quantity::{
    Current, Frequency, Length, LinearPower, LinearResistance, Share, Temperature,
};
use orangeloom_core::shield::{
    AlternatingReturn, BondedShield, BraidBuild, RippleInShield, braid, fill_for_coverage,
    shield_current, shield_loss,
};
use orangeloom_core::standard::metal::Metal;

use crate::lines::{Lines, bits, outcome, word};
use crate::sample::Sample;

pub(crate) fn cases(lines: &mut Lines<'_>) {
    lines.many("shield/braid", |s| word(built(s)));
    lines.many("shield/current", |s| word(bonded(s)));
    lines.many("shield/loss", |s| outcome(heated(s)));
    lines.many("shield/fill_for_coverage", |s| {
        outcome(Share::from_fraction(s.between(0.0, 1.0)).and_then(fill_for_coverage))
    });
}

fn built(s: &mut Sample) -> Result<u32, Error> {
    let found = braid(&BraidBuild {
        under: Length::from_mm(s.between(5.0, 30.0))?,
        strand: Length::from_mm(s.between(0.1, 0.3))?,
        carriers: s.one_of([16, 24, 32, 36]),
        ends: 3 + s.up_to(6),
        lay: Length::from_mm(s.between(20.0, 100.0))?,
        resistivity: Metal::TinnedCopper.resistivity_20(),
    })?;
    Ok(bits(found.coverage.as_fraction())
        ^ bits(found.strand_area.as_mm2()).rotate_left(8)
        ^ bits(found.resistance.as_ohm_per_km()).rotate_left(16))
}

fn bonded(s: &mut Sample) -> Result<u32, Error> {
    let diameter = s.between(5.0, 30.0);
    let found = shield_current(&BondedShield {
        current: Current::from_amperes(s.between(0.0, 500.0))?,
        frequency: Frequency::from_hertz(s.between(0.0, 50.0e3))?,
        resistance: LinearResistance::from_ohm_per_km(s.between(0.5, 20.0))?,
        diameter: Length::from_mm(diameter)?,
        spacing: Length::from_mm(diameter * s.between(1.0, 5.0))?,
    })?;
    Ok(bits(found.current.as_amperes())
        ^ bits(found.loss.as_watts_per_m()).rotate_left(8)
        ^ bits(found.corner.as_hertz()).rotate_left(16))
}

fn heated(s: &mut Sample) -> Result<LinearPower, Error> {
    let diameter = s.between(5.0, 30.0);
    let spacing = Length::from_mm(diameter * s.between(1.0, 5.0))?;
    let known = Some((Frequency::from_hertz(s.between(0.0, 50.0e3))?, spacing));
    let found = shield_loss(&RippleInShield {
        current: Current::from_amperes(s.between(0.0, 100.0))?,
        returns: s.one_of([
            AlternatingReturn::Chassis,
            AlternatingReturn::OtherConductor(None),
            AlternatingReturn::OtherConductor(known),
        ]),
        braid: LinearResistance::from_ohm_per_km(s.between(0.5, 20.0))?,
        diameter: Length::from_mm(diameter)?,
        hottest: Temperature::from_degc(s.between(20.0, 200.0))?,
    })?;
    Ok(found.fixed)
}
