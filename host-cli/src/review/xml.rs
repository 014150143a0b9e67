//! Text in XML.

/// A text between tags or in a quoted attribute. What XML 1.0 cannot hold at all, control
/// characters among it, becomes a question mark.
pub(super) fn escape(plain: &str) -> String {
    let mut escaped = String::with_capacity(plain.len());
    for letter in plain.chars() {
        match letter {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&apos;"),
            // As a number, because a parser turns plain ones into spaces in attributes.
            '\t' => escaped.push_str("&#9;"),
            '\n' => escaped.push_str("&#10;"),
            '\r' => escaped.push_str("&#13;"),
            '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => escaped.push('?'),
            _ => escaped.push(letter),
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_parser_reads_back_what_was_written(plain in any::<String>()) {
            let expected: String = plain
                .chars()
                .map(|c| match c {
                    '\t' | '\n' | '\r' => c,
                    '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => '?',
                    other => other,
                })
                .collect();
            let escaped = escape(&plain);
            let document = format!("<a b=\"{escaped}\">{escaped}</a>");
            let parsed = roxmltree::Document::parse(&document).unwrap();
            let root = parsed.root_element();
            prop_assert_eq!(root.attribute("b"), Some(expected.as_str()));
            prop_assert_eq!(root.text().unwrap_or(""), expected.as_str());
        }
    }

    #[test]
    fn quotes_tags_and_controls_do_not_break_out() {
        assert_eq!(
            escape("<a b='c'>\"&\u{1}"),
            "&lt;a b=&apos;c&apos;&gt;&quot;&amp;?"
        );
        assert_eq!(escape("1\n2"), "1&#10;2");
    }
}
