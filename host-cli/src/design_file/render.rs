//! Problems for people: file, line, column, the text underlined, what to do.

use core::fmt::Write;

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};
use orangeloom_core::design::Design;

use super::problem::{Problem, ProblemName};
use super::source::{Place, Source, on_letter};

/// Most problems that are shown one by one.
pub const MOST_SHOWN: usize = 100;
/// Most places of those that are no TOML at all. One slip makes many of them, and a file
/// of another kind nothing else.
pub const MOST_SYNTAX_SHOWN: usize = 5;
/// Longest line that is shown with its neighbours; longer ones are machine-made
/// and would fill the screen.
const LONGEST_LINE: usize = 400;

/// Whether colours may be used. The words say everything; colour only repeats it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[allow(clippy::exhaustive_enums)] // with or without
pub enum Paint {
    /// No colours: files, pipes, `NO_COLOR`.
    #[default]
    Plain,
    /// Colours of the terminal.
    Coloured,
}

/// The problems in the order of the files, each as a paragraph.
pub fn render(sources: &[Source], problems: &[Problem], paint: Paint) -> String {
    let renderer = match paint {
        Paint::Plain => Renderer::plain(),
        Paint::Coloured => Renderer::styled(),
    }
    .decor_style(DecorStyle::Ascii)
    .term_width(110);
    let mut text = String::new();
    let mut syntax = 0;
    let (mut shown, mut more) = (0, 0);
    for problem in problems {
        let no_toml = problem.name == ProblemName::Syntax;
        if shown == MOST_SHOWN || no_toml && syntax == MOST_SYNTAX_SHOWN {
            more += 1;
            continue;
        }
        shown += 1;
        syntax += usize::from(no_toml);
        text.push_str(&renderer.render(&[group(sources, problem)]));
        text.push_str("\n\n");
    }
    if more > 0 {
        // Writing into a string cannot fail.
        let _ = writeln!(text, "and {more} more; mend the first ones first\n");
    }
    text
}

fn group<'a>(sources: &'a [Source], problem: &'a Problem) -> Group<'a> {
    let level = match problem.name {
        ProblemName::Open => Level::NOTE,
        _ => Level::ERROR,
    };
    let title = level
        .primary_title(visible(&problem.what))
        .id(problem.name.slug());
    let mut group = Group::with_title(title);
    for (place, label, kind) in marks(problem) {
        if let Some(source) = sources.get(place.file) {
            // A file that could not be read has no line to point at.
            if source.text.is_empty() {
                group = group.element(Origin::path(source.path.as_str()));
                continue;
            }
            let shown = Shown::of(&source.text, place);
            let mut snippet = Snippet::source(shown.text)
                .line_start(shown.line)
                .path(source.path.as_str());
            let mut mark = kind.span(shown.start..shown.end);
            if !label.is_empty() {
                mark = mark.label(visible(label));
            }
            snippet = snippet.annotation(mark);
            group = group.element(snippet);
        }
    }
    for advice in &problem.advice {
        group = group.element(Level::HELP.message(visible(advice)));
    }
    group
}

fn marks(problem: &Problem) -> impl Iterator<Item = (&Place, &str, AnnotationKind)> {
    let first = (
        &problem.place,
        problem.here.as_str(),
        AnnotationKind::Primary,
    );
    let other = problem
        .other
        .as_ref()
        .map(|(place, words)| (place, words.as_str(), AnnotationKind::Context));
    core::iter::once(first).chain(other)
}

/// The lines of a file that are shown.
struct Shown {
    text: String,
    line: usize,
    start: usize,
    end: usize,
}

impl Shown {
    /// The first line of the place, at most to its end.
    fn of(text: &str, place: &Place) -> Self {
        let start = on_letter(text, place.start);
        let before = text.get(..start).unwrap_or("");
        let from = before.rfind('\n').map_or(0, |at| at + 1);
        let rest = text.get(start..).unwrap_or("");
        let to = start + rest.find('\n').unwrap_or(rest.len());
        let end = on_letter(text, place.end).clamp(start, to);
        let line = before.matches('\n').count() + 1;
        let whole = text.get(from..to).unwrap_or("");
        // What cannot be seen is replaced by as many bytes that can.
        let mut shown = String::with_capacity(whole.len());
        for letter in whole.chars() {
            if Design::is_unseen(letter) {
                shown.extend(core::iter::repeat_n(' ', letter.len_utf8()));
            } else {
                shown.push(letter);
            }
        }
        let (mut start, mut end) = (start - from, end - from);
        if shown.len() > LONGEST_LINE {
            let cut = on_letter(&shown, start.saturating_sub(40));
            let stop = on_letter(&shown, (cut + LONGEST_LINE).min(shown.len()));
            shown = shown.get(cut..stop).unwrap_or("").to_owned();
            start -= cut;
            end = (end - cut).min(shown.len());
        }
        Self {
            text: shown,
            line,
            start,
            end,
        }
    }
}

/// What cannot be seen, or would move the cursor, is written out.
fn visible(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for letter in text.chars() {
        if Design::is_unseen(letter) {
            shown.extend(letter.escape_unicode());
        } else {
            shown.push(letter);
        }
    }
    shown
}
