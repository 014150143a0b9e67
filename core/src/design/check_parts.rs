//! Whether the parts of a design are consistent in themselves.

use super::battery::{Cell, ResistanceRange};
use super::check::{Sink, report, wanted};
use super::finding::{Fault, Gap, Pair};
use super::index::{BatteryId, FuseTypeId};
use super::model::Design;
use super::part_cable::CableType;
use super::part_contactor::ContactorType;
use super::part_fuse::FuseType;
use super::part_small::{GlandType, ResistorType};

/// Whether two stated values are the wrong way round.
fn inverted<T: PartialOrd>(low: Option<T>, high: Option<T>) -> bool {
    low.zip(high).is_some_and(|(low, high)| low > high)
}

pub(super) fn cell(id: BatteryId, cell: &Cell, sink: &mut Sink<'_>) {
    let all = cell.minimum.and(cell.nominal).and(cell.maximum);
    wanted(sink, id, all, Gap::CellVoltage);
    if inverted(cell.minimum, cell.nominal)
        || inverted(cell.nominal, cell.maximum)
        || inverted(cell.minimum, cell.maximum)
        || cell.minimum.is_some_and(|volts| volts.as_volts() <= 0.0)
    {
        report(sink, id, Fault::Contradicts(Pair::CellVoltages));
    }
    wanted(sink, id, cell.resistance, Gap::CellResistance);
    if let Some(ResistanceRange::Between { least, most }) = cell.resistance
        && least > most
    {
        report(sink, id, Fault::Contradicts(Pair::Resistances));
    }
}

pub(super) fn parts(design: &Design, sink: &mut Sink<'_>) {
    for (id, cable) in design.all::<CableType>() {
        wanted(sink, id, cable.temperature_class, Gap::TemperatureClass);
        if let Err(error) = cable.cable() {
            report(sink, id, Fault::Unbuildable(error));
        }
    }
    for (id, fuse_type) in design.all::<FuseType>() {
        fuse(id, fuse_type, sink);
    }
    for (id, contactor) in design.all::<ContactorType>() {
        if inverted(contactor.coil.drop_out, contactor.coil.pull_in) {
            report(sink, id, Fault::Contradicts(Pair::Coil));
        }
        if inverted(contactor.break_reverse, contactor.break_forward) {
            report(sink, id, Fault::Contradicts(Pair::BreakDirections));
        }
    }
    for (id, resistor) in design.all::<ResistorType>() {
        wanted(sink, id, resistor.resistance, Gap::Resistance);
    }
    for (id, gland) in design.all::<GlandType>() {
        if inverted(gland.thinnest, gland.thickest) {
            report(sink, id, Fault::Contradicts(Pair::GlandRange));
        }
    }
}

fn fuse(id: FuseTypeId, fuse: &FuseType, sink: &mut Sink<'_>) {
    let mut wrong = |pair| report(sink, id, Fault::Contradicts(pair));
    if inverted(fuse.melting, fuse.total) {
        wrong(Pair::FuseI2t);
    }
    if inverted(fuse.least_breaking, fuse.breaking) {
        wrong(Pair::FuseBreaking);
    }
    if inverted(fuse.rated, fuse.least_breaking) {
        wrong(Pair::FuseRated);
    }
    let curve = fuse.curve.iter().zip(fuse.curve.iter().skip(1));
    if !curve
        .into_iter()
        .all(|(fast, slow)| fast.time < slow.time && fast.current > slow.current)
    {
        wrong(Pair::FuseCurve);
    }
    let derating = fuse.derating.iter().zip(fuse.derating.iter().skip(1));
    if !derating
        .into_iter()
        .all(|(cool, hot)| cool.air < hot.air && cool.carries >= hot.carries)
    {
        wrong(Pair::FuseDerating);
    }
}
