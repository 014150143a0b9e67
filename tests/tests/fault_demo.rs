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
        println!("{name}: {} faults, {built:?} {took:?}", lines.len());
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
