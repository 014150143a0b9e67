//! The shield of a cable: braid, current, class, termination.

use orangeloom_core::quantity::{
    Current, Frequency, Length, LinearResistance, Resistance, Resistivity, Share, Temperature,
    Voltage,
};
use orangeloom_core::shield::*;

use super::{Visit, accepted};

const VOLTAGE: Voltage = accepted(Voltage::from_volts(400.0));
const WARM: Temperature = accepted(Temperature::from_degc(110.0));
const CM: Length = accepted(Length::from_mm(10.0));
const METRE: Length = accepted(Length::from_metres(1.0));
const BRAID: LinearResistance = accepted(LinearResistance::from_ohm_per_km(3.0));
const MILLIOHM: Resistance = accepted(Resistance::from_ohms(1.0e-3));

/// Calls of `shield`.
pub fn all(visit: &mut impl Visit) {
    let build = BraidBuild {
        under: accepted(Length::from_mm(14.0)),
        strand: accepted(Length::from_mm(0.2)),
        carriers: 24,
        ends: 8,
        lay: accepted(Length::from_mm(50.0)),
        resistivity: accepted(Resistivity::from_ohm_m(1.7241e-8)),
    };
    visit.call("shield/braid", build, |build| braid(build));
    visit.brief(accepted(Share::from_percent(85.0)), |coverage| {
        fill_for_coverage(*coverage)
    });

    let bonded = BondedShield {
        current: accepted(Current::from_amperes(250.0)),
        frequency: accepted(Frequency::from_hertz(800.0)),
        resistance: BRAID,
        diameter: accepted(Length::from_mm(15.0)),
        spacing: accepted(Length::from_mm(30.0)),
    };
    visit.call("shield/current", bonded, |bonded| shield_current(bonded));

    let ripple = RippleInShield {
        current: accepted(Current::from_amperes(20.0)),
        returns: AlternatingReturn::OtherConductor(Some((
            accepted(Frequency::from_hertz(1.0e4)),
            accepted(Length::from_mm(30.0)),
        ))),
        braid: BRAID,
        diameter: accepted(Length::from_mm(15.0)),
        hottest: WARM,
    };
    visit.call("shield/loss", ripple, |ripple| shield_loss(ripple));

    visit.brief((VOLTAGE, true), |(highest, alternating)| {
        CableVoltageClass::least(*highest, *alternating)
    });
    visit.brief((CableVoltageClass::Dc900, true), |(class, alternating)| {
        CableVoltageClass::highest_v(*class, *alternating)
    });
    visit.brief(CableTemperatureClass::D, |class| {
        CableTemperatureClass::highest_degc(*class)
    });
    visit.brief((CableVoltageClass::Dc900, VOLTAGE), |(class, highest)| {
        judge_cable_voltage(Some(*class), *highest, false)
    });
    visit.brief((CableTemperatureClass::D, WARM), |(class, hottest)| {
        judge_cable_temperature(Some(*class), Some(*hottest))
    });

    let run = UnshieldedRun {
        in_metal: Some(true),
        pair_tight: Some(true),
        from_low_voltage: Some(CM),
        keep: METRE,
        crosses_square: None,
    };
    visit.brief((CircuitNoise::Quiet, run), |(noise, run)| {
        shield_need(*noise, run)
    });

    visit.brief(CM, |cut_back| judge_cut_back(Some(*cut_back), METRE));
    visit.brief(CM, |pigtail| {
        (judge_pigtail(Some(*pigtail)), pigtail_inductance(*pigtail))
    });
    visit.brief((MILLIOHM, BRAID, METRE), |(measured, braid, length)| {
        judge_continuity(Some(*measured), *braid, *length)
    });
}
