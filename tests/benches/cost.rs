//! What the core costs on this machine, printed; nothing here can fail on time.
//!
//! `cargo bench -p orangeloom-tests`, or `ci/bench` for the whole table.
//! Each figure is the median of 31 rounds, so that one interruption does not count.

use core::hint::black_box;
use std::time::Instant;

use orangeloom_core::conductor::cable::Cable;
use orangeloom_core::conductor::generic::{Dimensions, VoltageClass, generic_build};
use orangeloom_core::conductor::heat_balance::{HeatBalance, Surroundings};
use orangeloom_core::conductor::installation::Routing;
use orangeloom_core::conductor::transient::RadialChain;
use orangeloom_core::design::MAX_CONDUCTORS;
use orangeloom_core::error::Error;
use orangeloom_core::fault::FaultWorkspace;
use orangeloom_core::network::Workspace;
use orangeloom_core::quantity::{
    Altitude, ConductorArea, Current, CurrentSquaredTime, Length, LinearPower, Temperature, Time,
    Voltage,
};
use orangeloom_core::review::{Studies, review};
use orangeloom_core::size::headroom::headroom;
use orangeloom_core::size::question::{Peak, Piece, Question};
use orangeloom_core::size::search::smallest;
use orangeloom_core::size::series::{Conductor, MetricTable, Series};
use orangeloom_core::standard::metal::Metal;
use orangeloom_core::study::insulation::InsulationStudy;
use orangeloom_core::study::{FaultBurdens, Study};
use orangeloom_tests::demo::{shunter, tractor, truck};

const ROUNDS: usize = 31;

fn main() -> Result<(), Error> {
    let conductor = Conductor::metric(
        MetricTable::Iec60228Class5,
        Metal::Copper,
        ConductorArea::from_mm2(70.0)?,
    )?;
    let cable = Cable::new(generic_build(
        Metal::Copper,
        conductor.section,
        conductor.resistance_20,
        VoltageClass::V900,
        true,
        &Dimensions::default(),
    )?)?;
    let surroundings = surroundings()?;
    let balance = HeatBalance::new(&cable, &surroundings)?;
    let current = Current::from_amperes(250.0)?;
    let limit = Temperature::from_degc(125.0)?;
    let chain = RadialChain::new(&cable, &balance);
    let question = question(surroundings)?;
    let series = Series::Metric(MetricTable::Iec60228Class5);

    time("one steady temperature", 1000, || {
        balance.temperature_at(black_box(current))
    });
    time("one permissible current", 1000, || {
        balance.current_at(black_box(limit))
    });
    time("one peak of 30 s", 100, || {
        let start = chain.settled(current)?;
        Ok::<_, Error>(start.map(|state| chain.advance(&state, black_box(current), time_of(30.0))))
    });
    time("smallest section, one peak", 20, || {
        smallest(black_box(&question), series)
    });
    time("headroom of one section", 20, || {
        headroom(black_box(&question), conductor)
    });
    for (name, build) in [
        ("study of the truck", truck()),
        ("study of the tractor", tractor()),
        ("study of the shunter", shunter()),
    ] {
        let mut study = Box::new(Study::new());
        let mut workspace = Box::new(Workspace::new());
        time(name, 1, || {
            study.compute(black_box(&build.design), &mut workspace);
        });
        time(&format!("{name}, network alone"), 1, || {
            let warm = [Temperature::from_degc(90.0)?; MAX_CONDUCTORS];
            study
                .points
                .solve(black_box(&build.design), &mut workspace, &warm);
            Ok::<_, Error>(())
        });
        study.compute(&build.design, &mut workspace);
        let insulation = Box::new(InsulationStudy::find(&build.design));
        time(&format!("{name}, insulation"), 1, || {
            InsulationStudy::find(black_box(&build.design))
        });
        let mut faults = Box::new(FaultBurdens::new());
        let mut fault_workspace = Box::new(FaultWorkspace::new());
        time(&format!("{name}, faults"), 1, || {
            let design = black_box(&build.design);
            faults.solve(design, &mut fault_workspace, &mut |_, _| {})
        });
        let studies = Studies {
            study: &study,
            insulation: &insulation,
            faults: &faults,
        };
        time(&format!("{name}, every rule"), 1, || {
            let mut count = 0;
            review(black_box(&build.design), studies, &mut |_| {
                count += 1;
            });
            count
        });
        time(&format!("{name}, and all before"), 1, || {
            let design = black_box(&build.design);
            study.compute(design, &mut workspace);
            // What is refused, the findings tell.
            let _ = faults.solve(design, &mut fault_workspace, &mut |_, _| {});
            let studies = Studies {
                study: &study,
                insulation: &InsulationStudy::find(design),
                faults: &faults,
            };
            let mut count = 0;
            review(design, studies, &mut |_| count += 1);
            count
        });
    }
    Ok(())
}

fn surroundings() -> Result<Surroundings, Error> {
    let air = Temperature::from_degc(60.0)?;
    Ok(Surroundings {
        air,
        radiant: air,
        altitude: Altitude::from_metres(0.0)?,
        absorbed: LinearPower::from_watts_per_m(0.0)?,
    })
}

fn question(surroundings: Surroundings) -> Result<Question, Error> {
    let mut question = Question::new(
        Current::from_amperes(250.0)?,
        Temperature::from_degc(125.0)?,
    );
    let piece = Piece {
        routing: Routing::FREE_AIR,
        surroundings,
        length: Some(Length::from_metres(4.0)?),
    };
    let peak = Peak {
        current: Current::from_amperes(450.0)?,
        duration: time_of(30.0),
    };
    // Both lists have room for eight.
    let _ = question.route.push(piece);
    let _ = question.peaks.push(peak);
    question.voltage = Some(Voltage::from_volts(400.0)?);
    question.let_through = Some(CurrentSquaredTime::from_a2s(2.0e5)?);
    Ok(question)
}

fn time_of(seconds: f32) -> Time {
    Time::from_seconds(seconds).expect("within bounds")
}

fn time<T>(what: &str, calls: u32, mut call: impl FnMut() -> T) {
    let mut rounds = [0.0; ROUNDS];
    for round in &mut rounds {
        let start = Instant::now();
        for _ in 0..calls {
            black_box(call());
        }
        *round = start.elapsed().as_secs_f64() / f64::from(calls);
    }
    rounds.sort_by(f64::total_cmp);
    println!("{what:32} {:9.3} us", rounds[ROUNDS / 2] * 1.0e6);
}
