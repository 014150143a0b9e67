//! Rules that somebody stands for: open without who and when, and when the design has
//! moved on.

use orangeloom_core::review::RuleId;
use orangeloom_core::verdict::Verdict;

use crate::edit::{self, edited, read};
use crate::harness::attested;
use orangeloom_tests::reviewed::Reviewed;

/// What the base has none of, so that nobody needs to stand for it.
const WITHOUT_OBJECT: [RuleId; 1] = [RuleId::StringJoinSymmetric];

fn verdict(rule: RuleId, attestation: &str) -> Verdict {
    let text = format!(
        "{}\n[[attestation]]\nrule = \"{}\"\n{attestation}\n",
        edited(&[]),
        rule.slug()
    );
    Reviewed::without_study(read(&text)).verdict(rule)
}

#[test]
fn each_is_open_until_somebody_stands_for_this_revision() {
    const WHO: &str = "initials = \"EM\"";
    const WHEN: &str = "date = 2026-03-14";
    const NOW: &str = "revision = \"B\"";
    let untouched = edit::reviewed(&[]);
    for rule in RuleId::ALL.iter().copied().filter(|rule| attested(*rule)) {
        let slug = rule.slug();
        let says = |parts: &[&str]| verdict(rule, &parts.join("\n"));
        let base = untouched.verdict(rule);
        if WITHOUT_OBJECT.contains(&rule) {
            assert_eq!(base, Verdict::NotApplicable, "{slug}");
            continue;
        }
        assert_eq!(base, Verdict::Open, "{slug}");
        assert_eq!(
            says(&["holds = true", WHO, WHEN, NOW]),
            Verdict::Holds,
            "{slug}"
        );
        assert_eq!(says(&["holds = true", WHEN, NOW]), Verdict::Open, "{slug}");
        assert_eq!(says(&["holds = true", WHO, NOW]), Verdict::Open, "{slug}");
        assert_eq!(says(&["holds = true", WHO, WHEN]), Verdict::Open, "{slug}");
        let older = says(&["holds = true", WHO, WHEN, "revision = \"A\""]);
        assert_eq!(older, Verdict::Open, "{slug}");
        assert_eq!(says(&["holds = false"]), Verdict::Fails, "{slug}");
    }
}

/// An attestation about one box says nothing about the next.
#[test]
fn one_thing_does_not_stand_for_another() {
    let signed = "holds = true\ninitials = \"EM\"\ndate = 2026-03-14\nrevision = \"B\"";
    let of_one = verdict(RuleId::TouchProtection, &format!("box = \"J1\"\n{signed}"));
    assert_eq!(of_one, Verdict::Open);
    let all = verdict(RuleId::TouchProtection, signed);
    assert_eq!(all, Verdict::Holds);
    // One that is denied outweighs one for all.
    let of = |about: &str, holds| {
        format!(
            "\n[[attestation]]\nrule = \"touch-protection\"\n{about}holds = {holds}\ninitials = \"EM\"\ndate = 2026-03-14\nrevision = \"B\"\n"
        )
    };
    let denied = of("box = \"J1\"\n", false);
    let text = edited(&[]) + &of("", true) + &denied;
    let reviewed = Reviewed::without_study(read(&text));
    assert_eq!(reviewed.verdict(RuleId::TouchProtection), Verdict::Fails);
}

/// Once a yes for the whole vehicle, a day later, wiped out what was found wanting at one
/// thing.
#[test]
fn a_no_about_one_thing_is_cleared_by_a_later_yes_about_it_alone() {
    let judged = |records: &[(&str, bool, &str)]| {
        let records = records.iter().map(|(about, holds, day)| {
            format!(
                "\n[[attestation]]\nrule = \"joint-stack\"\n{about}\nholds = {holds}\n\
                 initials = \"EM\"\ndate = 2026-03-{day}\nrevision = \"B\"\n"
            )
        });
        let text = edited(&[]) + &records.collect::<String>();
        Reviewed::without_study(read(&text)).verdict(RuleId::JointStack)
    };
    let (one, other, all) = ("conductor = \"03+\"", "conductor = \"03-\"", "");
    let no = (one, false, "20");
    assert_eq!(judged(&[no, (all, true, "21")]), Verdict::Fails);
    let stays = [no, (all, true, "21"), (other, true, "22")];
    assert_eq!(judged(&stays), Verdict::Fails);
    let looked_again = [no, (all, true, "21"), (one, true, "22")];
    assert_eq!(judged(&looked_again), Verdict::Holds);
    // Of the same day nobody knows which was first.
    assert_eq!(
        judged(&[no, (all, true, "21"), (one, true, "20")]),
        Verdict::Fails
    );
    // A no about the whole vehicle is cleared for each thing by itself, or for all.
    let whole = (all, false, "20");
    assert_eq!(judged(&[whole, (one, true, "21")]), Verdict::Fails);
    assert_eq!(judged(&[whole, (all, true, "21")]), Verdict::Holds);
}

/// Once a no about a part of the vehicle was passed over by rules about the whole of it, and by
/// those that ask nobody.
#[test]
fn a_no_about_any_thing_fails_its_rule() {
    let judged = |rule: &str, records: &[(&str, bool, &str)]| {
        let records = records.iter().map(|(about, holds, day)| {
            format!(
                "\n[[attestation]]\nrule = \"{rule}\"\n{about}\nholds = {holds}\n\
                 initials = \"EM\"\ndate = 2026-03-{day}\nrevision = \"B\"\n"
            )
        });
        let text = edited(&[]) + &records.collect::<String>();
        let reviewed = Reviewed::new(read(&text));
        reviewed.verdict(RuleId::find(rule).unwrap())
    };
    let (all, contactor, load) = ("", "contactor = \"K+\"", "load = \"drive\"");
    let software = "open-without-software";
    assert_eq!(
        judged(software, &[(all, true, "14"), (contactor, false, "14")]),
        Verdict::Fails
    );
    assert_eq!(
        judged(
            software,
            &[
                (all, true, "14"),
                (contactor, false, "14"),
                (contactor, true, "15")
            ]
        ),
        Verdict::Holds
    );
    for (rule, about) in [
        ("touch-protection", load),
        ("joint-torque", "terminal = \"drive.+\""),
    ] {
        assert_eq!(
            judged(rule, &[(about, false, "14")]),
            Verdict::Fails,
            "{rule}"
        );
    }
}
