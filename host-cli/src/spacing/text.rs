//! The answer for people.

use comfy_table::CellAlignment;
use orangeloom_core::insulation::{
    CreepageOutcome, IsolationCase, Precaution, SpacingCheck, Step, StepValue, Supply, VehicleTest,
    VoltageClass,
};
use orangeloom_core::quantity::{Length, Resistance, Voltage};
use orangeloom_core::standard::SourceId;
use orangeloom_core::verdict::Verdict;

use super::ask::Asked;
use super::bench::{Limits, Tests};
use super::names::{self, distance, entered};
use super::{Report, explain};
use crate::page::{self, Sources, next_steps, plain_table, wrap};
use crate::quantity_text::{ToText, Units};
use crate::working::{self, cite, n, n_down};

/// The whole answer.
pub(crate) fn render(report: &Report<'_>, explained: bool) -> String {
    let mut sources = Sources::new();
    let mut blocks = vec![
        question(report),
        headline(report, &mut sources),
        surface(report),
    ];
    blocks.push(derivation(
        "Clearance: the shortest way through air",
        report.spacing.clearance.steps.iter(),
        report.asked.units,
        &mut sources,
    ));
    if let CreepageOutcome::Distance(found) = &report.spacing.creepage {
        blocks.push(derivation(
            "Creepage distance: the shortest way over the surface",
            found.steps.iter(),
            report.asked.units,
            &mut sources,
        ));
    }
    blocks.push(next_steps(
        report
            .next
            .iter()
            .map(|step| step.words(report.asked.units)),
    ));
    if report.asked.tests {
        blocks.push(tests(report, &mut sources));
        blocks.push(precautions());
        blocks.push(limits(report, &mut sources));
    }
    blocks.push(sources.list());
    if explained {
        let steps = explain::steps(report, report.asked.tests);
        blocks.push(working::render("4 digits shown", &steps));
    }
    if !report.asked.tests {
        blocks.push(TESTS_EXIST.to_owned());
    }
    blocks.push(defaults(report.asked));
    blocks.push(page::cautions());
    page::join(&blocks)
}

const TESTS_EXIST: &str = "Test voltages, what to disconnect before, isolation limits: add --tests";

fn question(report: &Report<'_>) -> String {
    let kind = if report.asked.alternating {
        "r.m.s."
    } else {
        "direct"
    };
    wrap(
        "Asked: ",
        &format!(
            "{} {kind}, {}",
            report.input.working.to_text(report.asked.units),
            circumstances(report.asked)
        ),
    )
}

/// Everything but the working voltage, in words.
pub(crate) fn circumstances(asked: &Asked) -> String {
    let volts = |voltage: Voltage| voltage.to_text(asked.units);
    let mut words = vec![format!("{} insulation", asked.insulation.word())];
    if let Some(peak) = asked.peak {
        words.push(format!("recurring peak {}", volts(peak)));
    }
    words.push(match asked.impulse {
        Some(impulse) => format!("impulse {}", volts(impulse)),
        None => format!("overvoltage category {}", asked.category.word()),
    });
    if let Some(system) = asked.system {
        words.push(format!("system voltage {}", volts(system)));
    }
    if let Some(mains) = asked.mains {
        words.push(format!("connected to mains of {}", volts(mains)));
    }
    if let Some(temporary) = asked.temporary {
        words.push(format!("temporary overvoltage {}", volts(temporary)));
    }
    words.push(format!("pollution degree {}", asked.pollution.number()));
    words.push(match asked.cti {
        Some(cti) => format!(
            "material group {} (CTI {})",
            asked.group.word(),
            n(cti.as_index())
        ),
        None => format!("material group {}", asked.group.word()),
    });
    words.push(format!("{} surface", names::surface(asked.surface)));
    words.push(format!("up to {}", asked.altitude.to_text(asked.units)));
    words.join(", ")
}

fn headline(report: &Report<'_>, sources: &mut Sources) -> String {
    let units = report.asked.units;
    let clearance = line(
        SpacingCheck::Clearance,
        report.input.built_clearance,
        report.spacing.clearance.distance,
        report.spacing.clearance_check.verdict,
        units,
    );
    let creepage = match &report.spacing.creepage {
        CreepageOutcome::Distance(found) => line(
            SpacingCheck::Creepage,
            report.input.built_creepage,
            found.distance,
            report.spacing.creepage_check.verdict,
            units,
        ),
        CreepageOutcome::NoDistanceHelps => format!(
            "Creepage fails: no distance helps while it is wet (pollution degree 4) {}",
            sources.mark(&cite(SourceId::Iec60664Wet))
        ),
    };
    let mut lines = vec![wrap("", &clearance), wrap("", &creepage)];
    for (words, source) in names::notes(report.asked, report.input.working, &report.spacing) {
        let words = match source {
            Some(source) => format!("{words} {}", sources.mark(&cite(source))),
            None => words,
        };
        lines.push(wrap("", &words));
    }
    lines.join("\n")
}

fn line(
    check: SpacingCheck,
    built: Option<Length>,
    required: Length,
    verdict: Verdict,
    units: Units,
) -> String {
    let (name, flag) = match check {
        SpacingCheck::Clearance => ("Clearance", "--clearance"),
        SpacingCheck::Creepage => ("Creepage", "--creepage or --profile"),
    };
    let least = distance(required, units);
    let Some(built) = built else {
        return format!("{name}: at least {least} (open; to judge yours state {flag})");
    };
    let apart = names::difference(built, required, units);
    let rest = match verdict {
        Verdict::Fails => format!("{apart} are missing"),
        _ => format!("{apart} to spare"),
    };
    format!(
        "{name} {}: {} as built, {least} required, {rest}",
        verdict.word(),
        entered(built, units)
    )
}

fn surface(report: &Report<'_>) -> String {
    let Some(path) = &report.path else {
        return String::new();
    };
    let units = report.asked.units;
    let mut lines = vec![
        "Surface as entered".to_owned(),
        wrap(
            "  - ",
            &format!(
                "creepage path {} (grooves narrower than {} bridged), whole surface {}",
                entered(path.creepage, units),
                entered(path.groove_width, units),
                entered(path.surface, units)
            ),
        ),
        format!("  - through air above it {}", entered(path.air, units)),
    ];
    if report.asked.clearance.is_none() {
        lines.push(wrap(
            "    ",
            "that is judged as clearance; state --clearance if another way through air is shorter",
        ));
    }
    lines.join("\n")
}

fn derivation<'a>(
    title: &str,
    steps: impl Iterator<Item = &'a Step>,
    units: Units,
    sources: &mut Sources,
) -> String {
    let mut table = plain_table();
    table.set_header(["step", "value", "", "source"]);
    for step in steps {
        table.add_row([
            step.kind.words().to_owned(),
            value(step.value, units),
            if step.governs { "governs" } else { "" }.to_owned(),
            sources.mark(&cite(step.source)),
        ]);
    }
    if let Some(column) = table.column_mut(1) {
        column.set_cell_alignment(CellAlignment::Right);
    }
    format!("{title}\n{}", page::table(&mut table))
}

fn value(value: StepValue, units: Units) -> String {
    match value {
        StepValue::Voltage(volts) => volts.to_text(units),
        StepValue::Length(length) => distance(length, units),
        StepValue::Pressure(pressure) => pressure.to_text(units),
        StepValue::Factor(factor) => n(factor),
    }
}

/// One line of a list: what, its value, the mark of its source.
fn item(what: &str, value: &str, source: SourceId, sources: &mut Sources) -> String {
    let mark = sources.mark(&cite(source));
    wrap("  - ", &format!("{what}: {value} {mark}"))
}

fn tests(report: &Report<'_>, sources: &mut Sources) -> String {
    let units = report.asked.units;
    let mut lines = vec!["Test voltages".to_owned()];
    for (supply, test) in &report.tests.component {
        let fed = match supply {
            Supply::Vehicle => "fed by the vehicle",
            Supply::Mains => "on the mains while charging",
        };
        lines.push(item(
            &format!(
                "withstand, {} insulation, component {fed}",
                report.input.insulation.word()
            ),
            &format!(
                "{} AC or {} DC for {}",
                test.alternating.at_least(units),
                test.direct.at_least(units),
                test.duration.at_least(units)
            ),
            test.source,
            sources,
        ));
    }
    let vehicle = &report.tests.vehicle;
    lines.push(item(
        "isolation of the finished vehicle",
        &format!("at least {} DC", vehicle.least.at_least(units)),
        VehicleTest::SOURCE,
        sources,
    ));
    lines.push(item(
        "only where the regulation's method with an external source is used",
        &format!(
            "at least {} DC; in every other case take the higher voltage above",
            vehicle.least_r100.at_least(units)
        ),
        VehicleTest::SOURCE_R100,
        sources,
    ));
    lines.push(item(
        "setting of an insulation tester",
        &vehicle.tester_setting.map_or_else(
            || {
                format!(
                    "none of the usual settings reaches {}",
                    vehicle.least.at_least(units)
                )
            },
            |setting| format!("{} DC", setting.to_text(units)),
        ),
        VehicleTest::SOURCE_SETTING,
        sources,
    ));
    if report.tests.component.is_empty() {
        lines.push(wrap(
            "",
            "Functional insulation has no withstand test against shock; what people can touch \
             needs more than functional insulation.",
        ));
    }
    lines.join("\n")
}

fn precautions() -> String {
    let mut lines = vec![wrap(
        "",
        "A withstand test is for a component on the bench, never for the finished vehicle. Its \
         voltage kills.",
    )];
    for (title, all) in [
        (
            "Before a withstand test of a component",
            Tests::BEFORE_COMPONENT.as_slice(),
        ),
        (
            "Before the isolation test of the finished vehicle",
            Tests::BEFORE_VEHICLE.as_slice(),
        ),
    ] {
        lines.push(title.to_owned());
        lines.extend(all.iter().map(|one: &Precaution| wrap("  - ", one.words())));
    }
    lines.join("\n")
}

fn limits(report: &Report<'_>, sources: &mut Sources) -> String {
    let units = report.asked.units;
    let mut lines = vec!["Also at this voltage".to_owned()];
    for &(case, resistance) in &report.limits.isolation {
        let new = resistance.as_ohms() * Limits::NEW_BUILD;
        lines.push(item(
            &format!("isolation resistance, {}", isolation_words(case)),
            &format!("at least {}", resistance.at_least(units)),
            IsolationCase::SOURCE,
            sources,
        ));
        if let Ok(new) = Resistance::from_ohms(new) {
            lines.push(item(
                "the same, new and dry",
                &format!("at least {}", new.at_least(units)),
                SourceId::CommonPractice,
                sources,
            ));
        }
    }
    if let Some(capacitance) = report.limits.y_capacitance {
        lines.push(item(
            "capacitance of both poles to chassis (0.2 J)",
            &format!("below {}", capacitance.at_most(units)),
            SourceId::Iso6469YEnergy,
            sources,
        ));
    }
    let (bond, source) = Limits::bond();
    lines.push(item(
        &format!(
            "bond of the box to chassis, measured with {} A or more",
            n(Limits::BOND_CURRENT_A)
        ),
        &format!("below {} ohm", n_down(bond)),
        source,
        sources,
    ));
    let (touchable, source) = Limits::touchable(report.asked.domain, report.asked.alternating);
    let class = match report.limits.class {
        VoltageClass::Touchable => "this voltage may be touched when dry",
        VoltageClass::Protected => "this voltage needs protection",
        VoltageClass::BeyondRules => "this voltage is above what the rules cover",
    };
    lines.push(item(
        &format!(
            "touchable without protection ({})",
            names::domain(report.asked.domain)
        ),
        &format!("up to {} V; {class}", n_down(touchable)),
        source,
        sources,
    ));
    lines.join("\n")
}

const fn isolation_words(case: IsolationCase) -> &'static str {
    match case {
        IsolationCase::DirectSeparate => "direct current alone",
        IsolationCase::AlternatingSeparate => "alternating current alone",
        IsolationCase::Connected => "battery with inverter",
        IsolationCase::ConnectedAlternatingProtected => {
            "battery with inverter, alternating parts doubly insulated"
        }
    }
}

/// What was assumed because nobody stated it.
pub(crate) fn defaults(asked: &Asked) -> String {
    let all = [
        ("alternating", "direct voltage (--alternating)".to_owned()),
        (
            "peak",
            if asked.alternating {
                "peak of a sinusoidal voltage (--peak)".to_owned()
            } else {
                "no peak above the working voltage (--peak)".to_owned()
            },
        ),
        (
            "overvoltage_category",
            "overvoltage category II (--overvoltage-category or --impulse)".to_owned(),
        ),
        (
            "system_voltage",
            if asked.mains.is_some() {
                "system voltage the larger of --voltage and --mains (--system-voltage)".to_owned()
            } else {
                "system voltage as the working voltage (--system-voltage)".to_owned()
            },
        ),
        (
            "mains",
            "never connected to the mains without separation (--mains or --temporary)".to_owned(),
        ),
        ("pollution", "pollution degree 3 (--pollution)".to_owned()),
        (
            "material_group",
            "material group IIIb, the worst (--cti or --material-group)".to_owned(),
        ),
        ("surface", "no rib counted (--surface)".to_owned()),
        (
            "altitude",
            format!("up to {} (--altitude)", asked.altitude.to_text(asked.units)),
        ),
        ("insulation", "basic insulation (--insulation)".to_owned()),
        ("domain", "road vehicle (--domain)".to_owned()),
    ];
    let taken: Vec<String> = all
        .into_iter()
        .filter(|(input, _)| asked.is_default(input))
        // The domain plays no part in a table.
        .filter(|(input, _)| !(asked.is_table && *input == "domain"))
        .map(|(_, words)| words)
        .collect();
    page::taken_as_default(&taken)
}
