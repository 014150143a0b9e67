//! Isolation readings and touch energies against circuits that ngspice solved.
//!
//! `ngspice/insulation.sh` makes the files that are read here.

use orangeloom_core::insulation::{
    InsertedResistor, IsolationCase, IsolationMeasured, IsolationReading, Pole, PoleVoltages,
    isolation_by_resistor, judge_reading, touch_energy,
};
use orangeloom_core::quantity::{Capacitance, Resistance, Share, Voltage};
use orangeloom_core::verdict::Verdict;
use orangeloom_tests::computed::{cells, number};

fn volts(cell: &str) -> Voltage {
    Voltage::from_volts(number(cell)).unwrap()
}

fn ohms(cell: &str) -> Resistance {
    Resistance::from_ohms(number(cell)).unwrap()
}

fn reading(input: &InsertedResistor) -> IsolationReading {
    match isolation_by_resistor(input).unwrap() {
        IsolationMeasured::Reading(reading) => reading,
        IsolationMeasured::BeyondRange => panic!("a reading was expected: {input:?}"),
    }
}

/// One simulated measurement: readings, true resistance of each side.
fn cases() -> Vec<(InsertedResistor, f32, f32)> {
    cells(include_str!("../ngspice/isolation.csv"))
        .iter()
        .map(|cells| {
            let input = InsertedResistor {
                pack: Some(volts(cells[0])),
                negative_to_chassis: volts(cells[6]),
                positive_to_chassis: volts(cells[7]),
                resistor: ohms(cells[4]),
                inserted_at: match cells[5] {
                    "negative" => Pole::Negative,
                    "positive" => Pole::Positive,
                    other => panic!("no pole: {other}"),
                },
                with_resistor: volts(cells[8]),
                meter: Some(ohms(cells[3])),
                accuracy: Share::from_fraction(0.0).unwrap(),
            };
            (input, number(cells[1]), number(cells[2]))
        })
        .collect()
}

#[test]
fn both_sides_are_found_with_and_without_the_pack_voltage() {
    let cases = cases();
    assert_eq!(cases.len(), 14);
    for (input, positive, negative) in cases {
        let gain = 1.0 + input.resistor.as_ohms() * (1.0 / positive + 1.0 / negative);
        let meter = input.meter.unwrap().as_ohms();
        // Readings of f32 (6e-8), amplified by 1 + Ro/Rp and, without the pack
        // voltage, by how much of the leak is the meter's own.
        let own = 1.0 + (1.0 / meter) / (1.0 / positive + 1.0 / negative);
        // The reciprocal for the case where the resistor is small beside the sides.
        let drop = 1.0 + 1.0 / (gain - 1.0);
        let tolerance = 2.0e-7 * (gain + drop) * own;
        for pack in [input.pack, None] {
            let found = reading(&InsertedResistor { pack, ..input });
            let smaller = found.smaller_side.as_ohms();
            let larger = found.larger_side.unwrap().as_ohms();
            assert!(
                (smaller / positive.min(negative) - 1.0).abs() < tolerance,
                "{input:?} {found:?}"
            );
            assert!(
                (larger / positive.max(negative) - 1.0).abs() < tolerance,
                "{input:?} {found:?}"
            );
            if positive < negative {
                assert_eq!(found.weaker_pole, Pole::Positive);
            } else if negative < positive {
                assert_eq!(found.weaker_pole, Pole::Negative);
            }
            assert_eq!(
                found.inserted_as_asked,
                (input.inserted_at == Pole::Negative) == (positive < negative)
                    || positive.to_bits() == negative.to_bits()
            );
        }
    }
}

#[test]
fn an_ideal_meter_assumed_reads_low_by_what_the_poles_miss_of_the_pack() {
    for (input, positive, negative) in cases() {
        let ideal = reading(&InsertedResistor {
            pack: None,
            meter: None,
            ..input
        });
        let missing = reading(&input).poles_over_pack.unwrap();
        let expected = positive.min(negative) * missing;
        // As above, about the largest gain of the cases, 60.
        assert!(
            (ideal.smaller_side.as_ohms() / expected - 1.0).abs() < 2.0e-5,
            "{input:?}"
        );
    }
}

// Identity of the printed forms (worked example 15): with Vb = V1 + V2,
// Ro (1 + V2/V1)(V1 - V1')/V1' = Ro Vb (1/V1' - 1/V1). UN R100 Rev.3, Annex 4, 1.2.3.4
// (seen) and 49 CFR 571.305 S7.6.6 of 2010 (seen in part).
#[test]
fn the_printed_forms_agree_where_the_poles_add_to_the_pack() {
    for (v1, v2, with, ro) in [
        (250.0, 150.0, 60.0, 2.0e5),
        (403.0, 0.5, 390.0, 4.0e4),
        (72.0, 72.0, 50.0, 1.5e4),
    ] {
        let input = InsertedResistor {
            pack: Some(Voltage::from_volts(v1 + v2).unwrap()),
            negative_to_chassis: Voltage::from_volts(v1).unwrap(),
            positive_to_chassis: Voltage::from_volts(v2).unwrap(),
            resistor: Resistance::from_ohms(ro).unwrap(),
            inserted_at: Pole::Negative,
            with_resistor: Voltage::from_volts(with).unwrap(),
            meter: None,
            accuracy: Share::from_fraction(0.0).unwrap(),
        };
        let by_pack = reading(&input).smaller_side.as_ohms();
        let by_ratio = reading(&InsertedResistor {
            pack: None,
            ..input
        })
        .smaller_side
        .as_ohms();
        let printed_pack = ro * (v1 + v2) * (1.0 / with - 1.0 / v1);
        let printed_ratio = ro * (1.0 + v2 / v1) * ((v1 - with) / with);
        // The printed difference of reciprocals cancels in f32: up to 1e-5 at 403/390 V.
        for found in [by_pack, by_ratio] {
            assert!((found / printed_pack - 1.0).abs() < 1.0e-5);
            assert!((found / printed_ratio - 1.0).abs() < 1.0e-5);
        }
    }
}

#[test]
fn a_pack_at_exactly_500_ohm_per_volt_meets_the_limit() {
    let (at_limit, ..) = cases()
        .into_iter()
        .find(|(input, p, n)| {
            input.pack == Voltage::from_volts(800.0).ok()
                && p.to_bits() == n.to_bits()
                && input.inserted_at == Pole::Negative
        })
        .unwrap();
    let working = Voltage::from_volts(800.0).unwrap();
    let found = reading(&at_limit);
    let verdict = |case| judge_reading(case, working, &found).unwrap().verdict;
    assert_eq!(verdict(IsolationCase::Connected), Verdict::Holds);
    // A real meter cannot tell.
    let real = reading(&InsertedResistor {
        accuracy: Share::from_percent(0.5).unwrap(),
        ..at_limit
    });
    let judged = judge_reading(IsolationCase::Connected, working, &real).unwrap();
    assert_eq!(judged.verdict, Verdict::Open);
}

#[test]
fn the_energy_through_a_person_is_that_of_both_capacitors_at_the_touched_voltage() {
    let printed = cells(include_str!("../ngspice/touch.csv"));
    assert_eq!(printed.len(), 5);
    for cells in &printed {
        let (pack, touched) = (number(cells[0]), number(cells[4]));
        let shares = PoleVoltages::ByIsolation {
            positive: Resistance::from_ohms(touched * 1.0e4).unwrap(),
            negative: Resistance::from_ohms((pack - touched) * 1.0e4).unwrap(),
        };
        let found = touch_energy(
            volts(cells[0]),
            Capacitance::from_farads(number(cells[1])).unwrap(),
            Capacitance::from_farads(number(cells[2])).unwrap(),
            shares,
        )
        .unwrap();
        // ngspice integrates with steps of tau/1000 and 1 mohm in series: 1e-4.
        assert!(
            (found.energy.as_joules() / number(cells[5]) - 1.0).abs() < 1.0e-4,
            "{cells:?}"
        );
        assert!(found.energy.as_joules() <= found.worst_case.as_joules());
    }
}
