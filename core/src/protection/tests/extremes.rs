//! Accepted values of any size: no panic, and nothing holds by a number that is none.

use proptest::prelude::*;

use super::guarded::{build, cold, degc};
use super::{a2s, amperes, curve, seconds, share, volts};
use crate::design::{DeratingPoint, FuseType, Utilisation};
use crate::protection::*;
use crate::quantity::Altitude;
use crate::verdict::Verdict;

/// Over all magnitudes, with zero and the largest.
fn any_of(most: f32) -> impl Strategy<Value = f32> {
    prop_oneof![
        Just(0.0_f32),
        Just(most),
        (-12.0_f32..libm::log10f(most)).prop_map(libm::exp10f),
    ]
}

prop_compose! {
    fn wild_fuse()(
        points in proptest::collection::vec((any_of(1.0e6), any_of(1.0e9)), 0..4),
        ratings in proptest::collection::vec(proptest::option::of(any_of(1.0e6)), 3),
        i2t in proptest::collection::vec(proptest::option::of(any_of(1.0e15)), 2),
        stated in proptest::collection::vec(proptest::option::of(any_of(1.0e5)), 2),
        shares in (0.0_f32..=1.0, 0.0_f32..=1.0, -100.0_f32..200.0),
        full in any::<bool>(),
    ) -> FuseType {
        let points: std::vec::Vec<[f32; 2]> = points.iter().map(|&(i, t)| [i, t]).collect();
        let mut fuse = curve(&points);
        fuse.utilisation = Some(if full { Utilisation::Gr } else { Utilisation::Ar });
        fuse.rated = ratings[0].map(amperes);
        fuse.breaking = ratings[1].map(amperes);
        fuse.least_breaking = ratings[2].map(amperes);
        fuse.melting = i2t[0].map(a2s);
        fuse.total = i2t[1].map(a2s);
        fuse.voltage = stated[0].map(volts);
        fuse.total_at = stated[1].map(volts);
        fuse.time_constant = Some(seconds(0.002));
        fuse.holder = Some(share(shares.0));
        fuse.derating.push(DeratingPoint { air: degc(shares.2), carries: share(shares.1) }).unwrap();
        fuse
    }
}

proptest! {
    #[test]
    fn any_accepted_fuse_in_any_circuit_is_judged_or_refused(
        fuse in wild_fuse(), other in wild_fuse(),
        currents in proptest::collection::vec(any_of(1.0e6), 8),
        voltage in any_of(1.0e5), times in proptest::collection::vec(any_of(1.0e9), 3),
        i2t in any_of(1.0e15), mm2 in 2.5_f32..240.0, tolerance in 0.0_f32..0.6,
    ) {
        let build = build(mm2);
        let guarded = [
            (FuseCheck::Cable, Guarded::Cable(GuardedCable { lasting: Some(amperes(currents[0])), ..cold(&build) })),
            (FuseCheck::ContactorI2t, Guarded::Metal { withstand: a2s(i2t), lasting: None }),
        ];
        let pulses = [Pulse { current: amperes(currents[1]), duration: seconds(times[0]) }];
        let circuit = FuseCircuit {
            voltage: volts(voltage),
            time_constant: Some(seconds(0.001)),
            place: FusePlace { air: Some(degc(40.0)), altitude: Some(Altitude::from_metres(3000.0).unwrap()) },
            lasting: Some(amperes(currents[2])),
            pulses: &pulses,
            pulse_share: REPEATED_PULSE,
            tolerance: share(tolerance),
            smallest_fault: Some(amperes(currents[3])),
            largest_fault: Some(amperes(currents[4])),
            spared: false,
            disconnection: DISCONNECTION,
            guarded: &guarded,
            conductor_lasting: Some(amperes(currents[5])),
            controller_limit: Some(amperes(currents[6])),
            contactor_breaks: Some(amperes(currents[7])),
            trip: Some(Trip { current: amperes(currents[6]), time: seconds(times[1]) }),
        };
        if let Ok(all) = judge_fuse(&fuse, &circuit) {
            for judged in all {
                let sound = judged.value.is_some_and(|value| !value.is_nan()) && judged.margin().is_some_and(|margin| margin >= 0.0);
                prop_assert!(judged.verdict != Verdict::Holds || sound, "{judged:?}");
            }
        }
        let _ = fuse_window(&fuse, &circuit);
        let _ = judge_selectivity(&fuse, &other, volts(voltage), Some(amperes(currents[4])), share(tolerance), SELECTIVE_SHARE, share(tolerance));
        if let Ok(curve) = ClearingCurve::new(&fuse, volts(voltage), share(tolerance)) {
            let _ = closed_band(Some(amperes(currents[7])), &curve, amperes(currents[4]), seconds(times[1]));
            if let Some(melting) = curve.melting() {
                let state = Melting::new().advance(melting, amperes(currents[4]), seconds(times[2]));
                prop_assert!(state.fraction().is_some());
            }
        }
    }
}
