use super::guarded::{build, cold, degc};
use super::window::{PULSE, circuit, series};
use super::{a2s, amperes, seconds, volts};
use crate::design::{Arrow, Coil, ContactorType, FuseType, Index, TextId};
use crate::error::{Capacity, Error};
use crate::protection::*;
use crate::quantity::{Altitude, ConductorArea, Power, Resistance};
use crate::verdict::{Judged, Verdict};

/// A partial-range fuse in a circuit where every check has something to judge.
fn fuse() -> FuseType {
    let mut fuse = series();
    fuse.utilisation = Some(crate::design::Utilisation::Ar);
    fuse.least_breaking = Some(amperes(1400.0));
    fuse
}

fn full<'a>(guarded: &'a [(FuseCheck, Guarded<'a>)]) -> FuseCircuit<'a> {
    FuseCircuit {
        controller_limit: Some(amperes(370.0)),
        contactor_breaks: Some(amperes(2000.0)),
        trip: Some(Trip {
            current: amperes(500.0),
            time: seconds(0.2),
        }),
        ..circuit(&[PULSE], guarded)
    }
}

#[test]
fn every_check_of_a_fuse_is_there_and_holds() {
    let large = build(120.0);
    let guarded = [
        (FuseCheck::Cable, Guarded::Cable(cold(&large))),
        (
            FuseCheck::ContactorI2t,
            Guarded::Metal {
                withstand: a2s(2.0e6),
                lasting: None,
            },
        ),
    ];
    let all = judge_fuse(&fuse(), &full(&guarded)).unwrap();
    assert_eq!(all.len(), 12);
    for judged in &all {
        assert_eq!(judged.verdict, Verdict::Holds, "{judged:?}");
    }
    // In the order of the names.
    assert!(
        all.iter()
            .zip(all.iter().skip(1))
            .all(|(one, next)| (one.name as u8) < next.name as u8)
    );
}

#[test]
fn too_many_pulses_are_refused() {
    let pulses = [PULSE; 30];
    let many = circuit(&pulses, &[]);
    assert_eq!(
        judge_fuse(&fuse(), &many),
        Err(Error::Capacity(Capacity::Limits))
    );
    assert!(fuse_window(&fuse(), &many).is_ok());
}

fn verdicts<const N: usize>(judged: [Judged<ContactorCheck>; N]) -> [Verdict; N] {
    judged.map(|judged| judged.verdict)
}

/// No verdict holds that did not before.
fn never_better(before: &[Verdict], after: &[Verdict], what: usize) {
    assert_eq!(before.len(), after.len());
    for (before, after) in before.iter().zip(after) {
        let better = *after == Verdict::Holds && *before != Verdict::Holds;
        assert!(!better, "removal {what}: {before:?} became {after:?}");
    }
}

#[test]
fn removing_what_is_known_of_a_fuse_never_yields_a_pass() {
    let removals: [fn(&mut FuseType); 11] = [
        |fuse| fuse.utilisation = None,
        |fuse| fuse.rated = None,
        |fuse| fuse.voltage = None,
        |fuse| fuse.time_constant = None,
        |fuse| fuse.breaking = None,
        |fuse| fuse.melting = None,
        |fuse| fuse.total = None,
        |fuse| fuse.total_at = None,
        |fuse| fuse.holder = None,
        |fuse| fuse.curve.clear(),
        |fuse| fuse.derating.clear(),
    ];
    let asked: [fn(&mut FuseCircuit<'_>); 10] = [
        |circuit| circuit.time_constant = None,
        |circuit| circuit.place.air = None,
        |circuit| circuit.place.altitude = None,
        |circuit| circuit.lasting = None,
        |circuit| circuit.smallest_fault = None,
        |circuit| circuit.largest_fault = None,
        |circuit| circuit.conductor_lasting = None,
        |circuit| circuit.controller_limit = None,
        |circuit| circuit.contactor_breaks = None,
        |circuit| circuit.trip = None,
    ];
    let judge = |fuse: &FuseType, circuit: &FuseCircuit<'_>| -> std::vec::Vec<Verdict> {
        judge_fuse(fuse, circuit)
            .unwrap()
            .iter()
            .map(|judged| judged.verdict)
            .collect()
    };
    // A circuit that holds, one that fails in most, and some between.
    for (mm2, lasting, pulse, withstand) in [
        (120.0, 180.0, 420.0, 2.0e6),
        (10.0, 400.0, 5000.0, 1.0e4),
        (50.0, 270.0, 460.0, 9.0e5),
        (35.0, 290.0, 430.0, 1.0e5),
    ] {
        for duration in [0.0005, 0.3, 12.0, 3000.0] {
            let build = build(mm2);
            let guarded = [
                (FuseCheck::Cable, Guarded::Cable(cold(&build))),
                (
                    FuseCheck::ContactorI2t,
                    Guarded::Metal {
                        withstand: a2s(withstand),
                        lasting: None,
                    },
                ),
            ];
            let pulses = [Pulse {
                current: amperes(pulse),
                duration: seconds(duration),
            }];
            let mut known = full(&guarded);
            known.pulses = &pulses;
            known.lasting = Some(amperes(lasting));
            known.conductor_lasting = Some(amperes(lasting));
            known.controller_limit = Some(amperes(pulse));
            let before = judge(&fuse(), &known);
            let window = fuse_window(&fuse(), &known).unwrap().verdict;
            for (what, remove) in removals.iter().enumerate() {
                let mut less = fuse();
                remove(&mut less);
                never_better(&before, &judge(&less, &known), what);
                let after = fuse_window(&less, &known).unwrap().verdict;
                never_better(&[window], &[after], what);
            }
            for (what, remove) in asked.iter().enumerate() {
                let mut less = known;
                remove(&mut less);
                never_better(&before, &judge(&fuse(), &less), 100 + what);
                let after = fuse_window(&fuse(), &less).unwrap().verdict;
                never_better(&[window], &[after], 100 + what);
            }
        }
    }
}

fn part() -> ContactorType {
    let mut part = ContactorType::new(TextId::at(0).unwrap());
    part.voltage = Some(volts(450.0));
    part.altitude = Some(Altitude::from_metres(2000.0).unwrap());
    part.carry = Some(amperes(300.0));
    part.carry_section = Some(ConductorArea::from_mm2(95.0).unwrap());
    part.carry_air = Some(degc(65.0));
    part.make = Some(amperes(400.0));
    part.break_forward = Some(amperes(2000.0));
    part.break_reverse = Some(amperes(200.0));
    part.break_voltage = Some(volts(450.0));
    part.withstand_peak = Some(amperes(8000.0));
    part.withstand = Some(a2s(4.0e5));
    part.polarised = Some(true);
    part.endurance = Some(100_000);
    part.load_endurance = Some(50);
    part.coil = Coil {
        resistance_20: Some(Resistance::from_ohms(5.0).unwrap()),
        pull_in: Some(volts(8.0)),
        drop_out: Some(volts(2.0)),
        pull_in_power: Some(Power::from_watts(30.0).unwrap()),
        hold_power: Some(Power::from_watts(30.0).unwrap()),
        ..Coil::default()
    };
    part
}

fn used(times: f32) -> ContactorCircuit {
    ContactorCircuit {
        voltage: Some(volts(400.0 * times)),
        altitude: Some(Altitude::from_metres(1500.0 * times).unwrap()),
        carrying: Carrying {
            lasting: Some(amperes(250.0 * times)),
            air: Some(degc(60.0 * times)),
            section: Some(ConductorArea::from_mm2(120.0 / times).unwrap()),
        },
        residual: Some(volts(20.0 * times)),
        loop_resistance: Some(Resistance::from_ohms(0.06).unwrap()),
        arrow: Some(Arrow::Along),
        opened: Opened {
            along: Some(amperes(1500.0 * times)),
            against: Some(amperes(150.0 * times)),
        },
        fault_peak: Some(amperes(7600.0 * times)),
        fault_i2t: Some(a2s(3.2e5 * times)),
        movements: Movements {
            closings: Some(90_000),
            load_openings: Some(20),
        },
        supply: CoilSupply {
            lowest: Some(volts(12.0 / times)),
            dip: Some(volts(6.0 / times)),
            wire: Some(Resistance::from_ohms(0.3 * times).unwrap()),
            coil: Some(degc(60.0 * times)),
        },
    }
}

#[test]
fn every_check_of_a_contactor_is_there_and_holds() {
    let all = judge_contactor(&part(), &used(1.0)).unwrap();
    for (judged, next) in all.iter().zip(all.iter().skip(1)) {
        assert!((judged.name as u8) < next.name as u8);
    }
    for judged in all {
        assert_eq!(judged.verdict, Verdict::Holds, "{judged:?}");
    }
    let nothing = judge_contactor(&part(), &ContactorCircuit::default()).unwrap();
    assert_eq!(verdicts(nothing), [Verdict::Open; 14]);
}

#[test]
fn removing_what_is_known_of_a_contactor_never_yields_a_pass() {
    let removals: [fn(&mut ContactorType); 18] = [
        |part| part.voltage = None,
        |part| part.altitude = None,
        |part| part.carry = None,
        |part| part.carry_section = None,
        |part| part.carry_air = None,
        |part| part.make = None,
        |part| part.break_forward = None,
        |part| part.break_reverse = None,
        |part| part.break_voltage = None,
        |part| part.withstand_peak = None,
        |part| part.withstand = None,
        |part| part.polarised = None,
        |part| part.endurance = None,
        |part| part.load_endurance = None,
        |part| part.coil.resistance_20 = None,
        |part| part.coil.pull_in = None,
        |part| part.coil.drop_out = None,
        |part| part.coil.hold_power = None,
    ];
    let asked: [fn(&mut ContactorCircuit); 16] = [
        |circuit| circuit.voltage = None,
        |circuit| circuit.altitude = None,
        |circuit| circuit.carrying.lasting = None,
        |circuit| circuit.carrying.air = None,
        |circuit| circuit.carrying.section = None,
        |circuit| circuit.residual = None,
        |circuit| circuit.loop_resistance = None,
        |circuit| circuit.arrow = None,
        |circuit| circuit.opened = Opened::default(),
        |circuit| circuit.fault_peak = None,
        |circuit| circuit.fault_i2t = None,
        |circuit| circuit.movements = Movements::default(),
        |circuit| circuit.supply.lowest = None,
        |circuit| circuit.supply.dip = None,
        |circuit| circuit.supply.wire = None,
        |circuit| circuit.supply.coil = None,
    ];
    for times in [1.0, 1.1, 1.4, 1.8] {
        for arrow in [Arrow::Along, Arrow::Against] {
            let mut known = used(times);
            known.arrow = Some(arrow);
            let before = verdicts(judge_contactor(&part(), &known).unwrap());
            for (what, remove) in removals.iter().enumerate() {
                let mut less = part();
                remove(&mut less);
                never_better(
                    &before,
                    &verdicts(judge_contactor(&less, &known).unwrap()),
                    what,
                );
            }
            for (what, remove) in asked.iter().enumerate() {
                let mut less = known;
                remove(&mut less);
                never_better(
                    &before,
                    &verdicts(judge_contactor(&part(), &less).unwrap()),
                    100 + what,
                );
            }
        }
    }
}
