//! The braid around a cable, and the class of the cable.

use orangeloom_core::quantity::{
    Current, Frequency, Length, LinearResistance, Resistance, Resistivity, Share, Temperature,
    Voltage,
};
use orangeloom_core::shield::{
    BondedShield, BraidBuild, CableTemperatureClass, CableVoltageClass, CircuitNoise,
    UnshieldedRun, braid, fill_for_coverage, judge_cable_temperature, judge_cable_voltage,
    judge_continuity, judge_cut_back, judge_pigtail, pigtail_inductance, shield_current,
    shield_need,
};

use super::{Visit, accepted};

/// Calls of `shield`.
pub fn all(visit: &mut impl Visit) {
    const PACK: Voltage = accepted(Voltage::from_volts(400.0));
    const WARM: Temperature = accepted(Temperature::from_degc(110.0));
    const MM_20: Length = accepted(Length::from_mm(20.0));
    const METRES: Length = accepted(Length::from_metres(2.0));
    const OF_BRAID: LinearResistance = accepted(LinearResistance::from_ohm_per_km(3.0));

    let build = BraidBuild {
        under: accepted(Length::from_mm(14.0)),
        strand: accepted(Length::from_mm(0.2)),
        carriers: 24,
        ends: 8,
        lay: accepted(Length::from_mm(60.0)),
        resistivity: accepted(Resistivity::from_ohm_m(1.78e-8)),
    };
    visit.call("shield/braid", build, braid);
    visit.brief(accepted(Share::from_fraction(0.85)), |coverage| {
        fill_for_coverage(*coverage)
    });
    let bonded = BondedShield {
        current: accepted(Current::from_amperes(20.0)),
        frequency: accepted(Frequency::from_hertz(10.0e3)),
        resistance: OF_BRAID,
        diameter: accepted(Length::from_mm(15.0)),
        spacing: MM_20,
    };
    visit.call("shield/current", bonded, shield_current);

    visit.brief(CableVoltageClass::Dc900, |class| class.highest_v(true));
    visit.brief(PACK, |highest| CableVoltageClass::least(*highest, false));
    visit.brief(
        (Some(CableVoltageClass::Dc900), PACK),
        |(class, highest)| judge_cable_voltage(*class, *highest, false),
    );
    visit.brief(CableTemperatureClass::C, |class| class.highest_degc());
    visit.call(
        "shield/judge_cable_temperature",
        (Some(CableTemperatureClass::C), Some(WARM)),
        |(class, hottest)| judge_cable_temperature(*class, *hottest),
    );

    let run = UnshieldedRun {
        in_metal: Some(true),
        pair_tight: Some(true),
        from_low_voltage: Some(accepted(Length::from_mm(250.0))),
        keep: accepted(Length::from_mm(200.0)),
        crosses_square: None,
    };
    visit.brief((CircuitNoise::Quiet, run), |(noise, run)| {
        shield_need(*noise, run)
    });

    visit.brief(MM_20, |cut_back| judge_cut_back(Some(*cut_back), MM_20));
    visit.brief(MM_20, |pigtail| judge_pigtail(Some(*pigtail)));
    visit.brief(MM_20, |pigtail| pigtail_inductance(*pigtail));
    visit.brief(accepted(Resistance::from_ohms(0.012)), |measured| {
        judge_continuity(Some(*measured), OF_BRAID, METRES)
    });
}
