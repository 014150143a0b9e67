//! Faults, fuses and contactors for people.

use comfy_table::CellAlignment;
use orangeloom_core::design::{ContactorId, Fuse, FuseId};
use orangeloom_core::fault::{FaultKind, FaultResult};
use orangeloom_core::protection::{
    ClosedBand, ContactorCheck, FuseCheck, FuseWindow, Remedy, WindowSide,
};
use orangeloom_core::quantity::{Current, CurrentSquaredTime, Time};
use orangeloom_core::study::{
    ContactorStudy, FUSE_WINDOW, FuseStudy, Known, Selectivity, Withstands,
};
use orangeloom_core::verdict::{Judged, Verdict};

use super::fault_report::FaultReport;
use super::open::why;
use super::{Report, names};
use crate::page::{self, Sources, align, plain_table, wrap};
use crate::quantity_text::{Rounding, ToText, Units};
use crate::working::{cite, n, n_down, value_and_limit};

/// Most faults that are shown one by one.
const SHOWN: usize = 24;

/// The table of faults, those that do not go off first.
pub(crate) fn table(report: &Report, faults: &FaultReport) -> String {
    let mut table = plain_table();
    table.set_header(["place", "most", "least", "off", "used", "verdict"]);
    let mut rows: Vec<&FaultRow> = faults.rows.iter().collect();
    rows.sort_by(|one, other| one.rank().total_cmp(&other.rank()));
    for row in rows.iter().take(SHOWN) {
        table.add_row(row.cells(report));
    }
    align(&mut table, 1);
    for column in [3, 4, 5] {
        if let Some(column) = table.column_mut(column) {
            column.set_cell_alignment(CellAlignment::Left);
        }
    }
    let count = |verdict: Verdict| {
        faults
            .rows
            .iter()
            .filter(|row| row.verdict() == verdict)
            .count()
    };
    let mut lines = vec![wrap(
        "",
        &format!(
            "Faults: {} bolted short circuits; {} fail, {} open, {} are cleared in time. Those \
             that do not go off come first.",
            faults.rows.len(),
            count(Verdict::Fails),
            count(Verdict::Open),
            count(Verdict::Holds)
        ),
    )];
    lines.extend(causes(report, &rows));
    if !faults.rows.is_empty() {
        lines.push(page::narrow_table(&mut table));
    }
    if rows.len() > SHOWN {
        lines.push(wrap(
            "",
            &format!(
                "{} more, none harder than these; --json lists all.",
                rows.len() - SHOWN
            ),
        ));
    }
    lines.extend(
        faults
            .refused
            .iter()
            .map(|refused| wrap("  - ", &format!("not solved: {refused}"))),
    );
    lines.push(wrap(
        "",
        "most: full cells, least resistance. least: empty cells, most resistance. off: by which \
         fuses, and when the last one that feeds it is off. used: joule integral of the \
         conductor that suffers most over what it stands, from the heat of its duty to what its \
         insulation stands for seconds (250 degC for classes above 105 degC, else 160 degC). The \
         first milliseconds of link capacitors are left out.",
    ));
    lines.join("\n")
}

/// Why faults stay on: each cause once, with how many and the worst.
fn causes(report: &Report, rows: &[&FaultRow]) -> Vec<String> {
    let mut causes: Vec<(&str, usize, &FaultRow)> = Vec::new();
    for row in rows.iter().filter(|row| row.cleared_in.is_none()) {
        match causes.iter_mut().find(|(end, ..)| *end == row.end) {
            Some((_, count, _)) => *count += 1,
            // The rows come worst first.
            None => causes.push((&row.end, 1, row)),
        }
    }
    causes
        .iter()
        .map(|(end, count, worst)| {
            wrap(
                "  - ",
                &format!(
                    "{end}: {count} faults; worst {}, {} ({})",
                    worst.place,
                    worst.most.to_text(report.units),
                    worst.kind
                ),
            )
        })
        .collect()
}

/// One fault, ready to be shown.
pub(crate) struct FaultRow {
    pub(crate) place: String,
    pub(crate) kind: &'static str,
    pub(crate) most: Current,
    pub(crate) least: Current,
    pub(crate) time_constant: Time,
    pub(crate) cleared_by: Vec<String>,
    pub(crate) end: String,
    pub(crate) cleared_in: Option<Time>,
    pub(crate) fed_by: Vec<String>,
    pub(crate) without_fuse: Current,
    pub(crate) hardest: Option<(String, Judged<FuseCheck>)>,
    pub(crate) judged: Verdict,
}

impl FaultRow {
    /// What one solved fault says.
    pub(crate) fn new(report: &Report, result: &FaultResult, withstands: &Withstands) -> Self {
        let design = report.design();
        let highest = &result.highest;
        let cleared_by = highest
            .stages
            .iter()
            .map(|stage| names::name(design, stage.fuse))
            .collect();
        let hardest = withstands.hardest(result);
        Self {
            place: names::fault(design, result.fault),
            kind: kind(result.fault.kind),
            most: highest.prospective,
            least: result.lowest.prospective,
            time_constant: highest.time_constant,
            cleared_by,
            end: names::end(design, highest.end.worse(result.lowest.end)),
            cleared_in: result.cleared_in(),
            fed_by: highest
                .feeders
                .iter()
                .map(|feeder| {
                    format!(
                        "{} {}",
                        names::name(design, feeder.battery),
                        feeder.current.to_text(report.units)
                    )
                })
                .collect(),
            without_fuse: if result.lowest.without_fuse > highest.without_fuse {
                result.lowest.without_fuse
            } else {
                highest.without_fuse
            },
            hardest: hardest.map(|(id, judged)| (names::circuit(design, id), judged)),
            judged: withstands.judge_fault(result),
        }
    }

    pub(crate) const fn verdict(&self) -> Verdict {
        self.judged
    }

    /// Failing first, then open, then by what is left.
    fn rank(&self) -> f32 {
        let share = self.share().unwrap_or(0.0);
        match self.judged {
            Verdict::Fails => -1.0e9 - self.most.as_amperes(),
            Verdict::Open => -1.0e6 - self.most.as_amperes(),
            Verdict::Holds | Verdict::NotApplicable => -share,
        }
    }

    /// Share of what the hardest pressed conductor stands.
    pub(crate) fn share(&self) -> Option<f32> {
        let (_, judged) = self.hardest.as_ref()?;
        Some(judged.value? / judged.limit?)
    }

    fn cells(&self, report: &Report) -> Vec<String> {
        let units = report.units;
        let off = match self.cleared_in {
            Some(time) if self.cleared_by.is_empty() => time.to_text(units),
            Some(time) => format!("{} in {}", self.cleared_by.join(", "), time.to_text(units)),
            None => format!("never: {}", self.end),
        };
        let used = self.hardest.as_ref().map(|(name, _)| {
            self.share().map_or_else(
                || name.clone(),
                |share| format!("{name}: {} %", n(100.0 * share)),
            )
        });
        vec![
            self.place.clone(),
            self.most.to_text(units),
            self.least.to_text(units),
            off,
            used.unwrap_or_else(|| "-".to_owned()),
            self.judged.word().to_owned(),
        ]
    }
}

fn kind(kind: FaultKind) -> &'static str {
    match kind {
        FaultKind::AtBox => "at a box",
        FaultKind::OnRoute => "on the way",
        FaultKind::ThroughChassis => "through chassis",
    }
}

/// One block for each fuse of the high-voltage side, or for the one that is asked for.
pub(crate) fn fuses(report: &Report, faults: &FaultReport, sources: &mut Sources) -> Vec<String> {
    let all = faults.fuses.iter();
    all.map(|(id, studied)| fuse(report, *id, studied, sources))
        .collect()
}

/// How to ask for the fuses that [`fuses`] leaves out: those of the low-voltage side.
pub(crate) fn other_fuses(report: &Report, faults: &FaultReport) -> Option<String> {
    let design = report.design();
    let shown = |id: FuseId| faults.fuses.iter().any(|(known, _)| *known == id);
    let others = design.all::<Fuse>().filter(|(id, _)| !shown(*id));
    let others: Vec<String> = others.map(|(id, _)| names::name(design, id)).collect();
    let first = others.first()?;
    Some(wrap(
        "",
        &format!(
            "Low-voltage fuses, one at a time with --fuse {first}: {}",
            others.join(", ")
        ),
    ))
}

/// One fuse: what it sees, its checks, its window.
fn fuse(report: &Report, id: FuseId, studied: &Known<FuseStudy>, sources: &mut Sources) -> String {
    let name = names::name(report.design(), id);
    let studied = match studied {
        Ok(studied) => studied,
        Err(unknown) => return format!("Fuse {name}: open, {}", why(report, *unknown)),
    };
    let mut lines = vec![format!("Fuse {name}: {}", studied.verdict().word())];
    lines.push(wrap("  ", &seen(report, studied)));
    lines.push(checks(
        &studied.checks,
        sources,
        fuse_words,
        FuseCheck::unit,
    ));
    lines.extend(upstream(report, studied));
    if let Some(window) = &studied.window {
        lines.push(wrap("  window: ", &window_words(report.units, window)));
    }
    lines.join("\n")
}

fn seen(report: &Report, studied: &FuseStudy) -> String {
    let units = report.units;
    let shown = |current: Option<Current>, rounding| {
        let shown = current.map(|current| current.rounded(units, rounding));
        shown.unwrap_or_else(|| "not known".to_owned())
    };
    let burden = studied.faults.unwrap_or_default();
    let leads = studied.conductors.iter();
    let leads = leads.map(|id| names::circuit(report.design(), *id));
    let contactors = studied.contactors.iter();
    let contactors = contactors.map(|id| names::name(report.design(), *id));
    let in_series: Vec<String> = leads.chain(contactors).collect();
    format!(
        "lasting {} (r.m.s. over the worst {}); faults {} at most, {} at least; L/R {}; in \
         series: {}{}",
        shown(studied.lasting.ok(), Rounding::Up),
        FUSE_WINDOW.to_text(units),
        shown(burden.largest, Rounding::Up),
        shown(burden.smallest, Rounding::Down),
        burden
            .time_constant
            .map_or_else(|| "not known".to_owned(), |tau| tau.at_least(units)),
        if in_series.is_empty() {
            "nothing".to_owned()
        } else {
            in_series.join(", ")
        },
        studied.contactor.map_or_else(String::new, |id| format!(
            "; opened by {}",
            names::name(report.design(), id)
        ))
    )
}

/// A number with its unit, if it has one.
pub(super) fn with_unit(digits: &str, unit: &str) -> String {
    if unit.is_empty() {
        digits.to_owned()
    } else {
        format!("{digits} {unit}")
    }
}

/// A fuse against those upstream of it, one a line.
fn upstream(report: &Report, studied: &FuseStudy) -> Vec<String> {
    let one = |judged: &Judged<FuseCheck>| {
        let unit = judged.name.unit();
        let [value, limit] = value_and_limit(judged, 1.0).map(|shown| {
            shown.map_or_else(|| "not known".to_owned(), |shown| with_unit(&shown, unit))
        });
        let margin = judged.margin().map_or_else(String::new, |margin| {
            format!(", margin {}", with_unit(&n_down(margin), unit))
        });
        format!(
            "{} {value} of {limit} allowed{margin}: {}",
            fuse_words(judged.name),
            judged.verdict.word()
        )
    };
    let pair = |pair: &Selectivity| {
        let upper = names::name(report.design(), pair.upper);
        let told: Vec<String> = match pair.because {
            Some(unknown) => vec![format!("open, {}", why(report, unknown))],
            None => [&pair.by_i2t, &pair.by_time]
                .into_iter()
                .filter(|judged| judged.verdict != Verdict::NotApplicable)
                .map(one)
                .collect(),
        };
        wrap(&format!("  upstream {upper}: "), &told.join("; "))
    };
    studied.selectivity.iter().map(pair).collect()
}

/// A table of checks.
fn checks<N: Copy>(
    checks: &[Judged<N>],
    sources: &mut Sources,
    words: fn(N) -> &'static str,
    unit: fn(N) -> &'static str,
) -> String {
    let mut table = plain_table();
    table.set_header(["check", "value", "allowed", "margin", "verdict", "from"]);
    for judged in checks {
        if judged.verdict == Verdict::NotApplicable {
            continue;
        }
        let unit = unit(judged.name);
        let [value, limit] = value_and_limit(judged, 1.0);
        let margin = judged.margin().map(n_down);
        let shown = |digits: Option<String>| {
            digits.map_or_else(|| "-".to_owned(), |digits| with_unit(&digits, unit))
        };
        table.add_row([
            words(judged.name).to_owned(),
            shown(value),
            shown(limit),
            shown(margin),
            judged.verdict.word().to_owned(),
            sources.mark(&cite(judged.source)),
        ]);
    }
    align(&mut table, 1);
    for column in table.column_iter_mut().rev().take(2) {
        column.set_cell_alignment(CellAlignment::Left);
    }
    page::table(&mut table)
}

pub(crate) fn fuse_words(check: FuseCheck) -> &'static str {
    match check {
        FuseCheck::Voltage => "direct voltage",
        FuseCheck::TimeConstant => "L/R of the circuit",
        FuseCheck::BreakingCapacity => "breaking capacity",
        FuseCheck::Continuous => "lasting, derated",
        FuseCheck::Pulse => "hardest pulse",
        FuseCheck::Course => "course of current",
        FuseCheck::LowCurrentGap => "gap: contactor breaks",
        FuseCheck::GapTrip => "gap: time to open",
        FuseCheck::GapTripCurrent => "gap: trip current",
        FuseCheck::SelectivityI2t => "selectivity, I2t",
        FuseCheck::SelectivityTime => "selectivity, time",
        FuseCheck::LeastFault => "least fault off in",
        FuseCheck::OverloadOwner => "overload owner",
        FuseCheck::Cable => "cable, all currents",
        FuseCheck::Shield => "shield, all currents",
        FuseCheck::Strap => "strap, all currents",
        FuseCheck::ContactorI2t => "contactor, I2t",
        _ => "check",
    }
}

/// From which to which rated current, and what binds.
pub(crate) fn window_words(units: Units, window: &FuseWindow) -> String {
    let side = |side: &WindowSide, rounding| match side {
        WindowSide::Free => "nothing binds".to_owned(),
        WindowSide::Never(check) => format!("no size keeps: {}", fuse_words(*check)),
        WindowSide::At(end) => {
            let i2t = |value: Option<CurrentSquaredTime>| {
                value.map_or_else(String::new, |i2t| format!(", total {}", i2t.to_text(units)))
            };
            format!(
                "{}{} ({} binds)",
                end.rated.rounded(units, rounding),
                i2t(end.total),
                fuse_words(end.binds)
            )
        }
    };
    let open: Vec<&str> = window.open.iter().map(|check| fuse_words(*check)).collect();
    let open = if open.is_empty() {
        String::new()
    } else {
        format!("; not judged: {}", open.join(", "))
    };
    let remedies: Vec<String> = window
        .remedies
        .iter()
        .map(|remedy| remedy_words(*remedy, units))
        .collect();
    let remedies = if remedies.is_empty() {
        String::new()
    } else {
        format!("; it opens with {}", remedies.join(", or "))
    };
    let least = side(&window.least, Rounding::Up);
    let most = side(&window.most, Rounding::Down);
    let fits = match (window.verdict, &window.least, &window.most) {
        (Verdict::Fails, WindowSide::Never(_), _) => format!("none fits: {least}"),
        (Verdict::Fails, _, WindowSide::Never(_)) => format!("none fits: {most}"),
        (Verdict::Fails, ..) => {
            format!("none fits: it would have to be at least {least} and at most {most}")
        }
        (verdict, ..) => format!("{}: from {least} to {most}", verdict.word()),
    };
    format!("{fits}{open}{remedies}")
}

/// One block for each contactor of the high-voltage side, or for the one that is asked for.
pub(crate) fn contactors(
    report: &Report,
    faults: &FaultReport,
    sources: &mut Sources,
) -> Vec<String> {
    let all = faults.contactors.iter();
    all.map(|(id, studied)| contactor(report, *id, studied, sources))
        .collect()
}

/// One contactor: what it sees, its checks, the band in which it stays closed.
fn contactor(
    report: &Report,
    id: ContactorId,
    studied: &Known<ContactorStudy>,
    sources: &mut Sources,
) -> String {
    let name = names::name(report.design(), id);
    let studied = match studied {
        Ok(studied) => studied,
        Err(unknown) => return format!("Contactor {name}: open, {}", why(report, *unknown)),
    };
    let mut lines = vec![format!("Contactor {name}: {}", studied.verdict().word())];
    lines.push(checks(
        &studied.checks,
        sources,
        contactor_words,
        ContactorCheck::unit,
    ));
    if let Some(band) = &studied.closed_band {
        lines.push(wrap("  stays closed: ", &band_words(report, band)));
    }
    lines.join("\n")
}

fn band_words(report: &Report, band: &ClosedBand) -> String {
    let units = report.units;
    let until = band.fuse_first_from.map_or_else(
        || "to the largest fault".to_owned(),
        |current| format!("to {}, where the fuse is first", current.to_text(units)),
    );
    let wait = band.wait.map_or_else(String::new, |wait| {
        format!("; the fuse takes {} at most", wait.to_text(units))
    });
    format!("above {} {until}{wait}", band.above.to_text(units))
}

pub(crate) fn contactor_words(check: ContactorCheck) -> &'static str {
    match check {
        ContactorCheck::Voltage => "contact voltage",
        ContactorCheck::Altitude => "altitude",
        ContactorCheck::Carry => "lasting current",
        ContactorCheck::CarryAir => "air for that current",
        ContactorCheck::CarrySection => "section on terminals",
        ContactorCheck::Make => "current on closing",
        ContactorCheck::BreakAlong => "breaks, first to 2nd",
        ContactorCheck::BreakAgainst => "breaks, 2nd to first",
        ContactorCheck::WithstandPeak => "fault peak, closed",
        ContactorCheck::Withstand => "fault I2t, closed",
        ContactorCheck::NobodyBreaks => "fuse takes over from",
        ContactorCheck::Closings => "closings",
        ContactorCheck::LoadOpenings => "openings under load",
        ContactorCheck::PullIn => "coil pulls in",
        ContactorCheck::Hold => "coil holds",
        _ => "check",
    }
}

/// What would open an empty window.
fn remedy_words(remedy: Remedy, units: Units) -> String {
    match remedy {
        Remedy::Lasting(current) => format!("a lasting current of {}", current.at_most(units)),
        Remedy::PulseOf(current) => format!("a pulse of {}", current.at_most(units)),
        Remedy::CoolerPlace(air) => format!("a place of {} for the fuse", air.at_most(units)),
        Remedy::Section(section) => format!("a cable of {}", section.at_least(units)),
        Remedy::Stands(check, i2t) => {
            format!("{} that stands {}", fuse_words(check), i2t.at_least(units))
        }
        Remedy::SmallestFault(current) => {
            format!("a smallest fault of {}", current.at_least(units))
        }
        Remedy::ConductorLasting(current) => {
            format!("a conductor that carries {}", current.at_least(units))
        }
        Remedy::ControllerLimit(current) => {
            format!("a limit of {} in the controller", current.at_most(units))
        }
        Remedy::ContactorBreaks(current) => {
            format!("a contactor that breaks {}", current.at_least(units))
        }
        _ => "another part".to_owned(),
    }
}
