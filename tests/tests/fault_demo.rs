//! The planted faults of the demonstrations, by value.

use std::path::Path;
use std::time::Instant;

use orangeloom::design_file::{DesignFile, Paint};
use orangeloom_core::design::{Conductor, Design};
use orangeloom_core::fault::{FaultStudy, FaultWorkspace, Point};

fn fixture(name: &str) -> Box<Design> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../fixtures")
        .join(name)
        .join("design.toml");
    let read = DesignFile::read(&path);
    assert!(read.problems.is_empty(), "{}", read.render(Paint::Plain));
    read.design
}

fn words(design: &Design, point: Point) -> String {
    let _ = design
        .get::<orangeloom_core::design::ConductorId>(point.conductor)
        .map(|_: &Conductor| ());
    format!(
        "{} {:?}",
        design.name(point.conductor.into()).unwrap(),
        point.along
    )
}

#[test]
fn dump() {
    for name in ["lake-rescue-truck", "orchard-tractor", "road-rail-shunter"] {
        let design = fixture(name);
        let start = Instant::now();
        let study = FaultStudy::new(&design).unwrap();
        let mut workspace = Box::new(FaultWorkspace::new());
        let mut lines = Vec::new();
        let built = start.elapsed();
        for fault in study.faults(&design) {
            let r = study.solve(&design, &mut workspace, fault).unwrap();
            lines.push(r);
        }
        let took = start.elapsed();
        let t = Instant::now();
        let mut top = 0.0_f32;
        for fault in study.faults(&design) {
            let c = study
                .course(
                    &design,
                    &mut workspace,
                    fault,
                    orangeloom_core::fault::Extreme::Largest,
                    orangeloom_core::quantity::Time::from_seconds(0.02).unwrap(),
                )
                .unwrap();
            if let Some(c) = c {
                top = top.max(c.fault.peak.as_amperes());
            }
        }
        println!("courses {:?} largest peak {top}", t.elapsed());
        for (id, load) in design.all::<orangeloom_core::design::Load>() {
            println!(
                "{:?} {:?}",
                design.name(id.into()),
                orangeloom_core::fault::precharge_of(&design, id)
            );
            let _ = load;
        }
        println!("{name}: {} faults, {built:?} {took:?}", lines.len());
        for r in lines.iter().take(1) {
            println!("{r:#?}");
        }
        for r in &lines {
            println!(
                "{:?} {} - {}: {:.0} .. {:.0} A, tau {:.3} ms, unfused {:.0} {:.0}, {:?} | {:?}  gaps {:?}",
                r.fault.kind,
                words(&design, r.fault.one),
                words(&design, r.fault.other),
                r.lowest.prospective.as_amperes(),
                r.highest.prospective.as_amperes(),
                r.highest.time_constant.as_seconds() * 1e3,
                r.lowest.without_fuse.as_amperes(),
                r.highest.without_fuse.as_amperes(),
                r.highest.end,
                r.lowest.end,
                r.gaps.len()
            );
        }
    }
}
