//! How each rule comes to its verdict, in words: equation, what it reads, how to get a
//! missing value with a builder's tools, what it cannot see. On the host only.

#![cfg(feature = "text")]

/// How a rule comes to its verdict.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct Method {
    /// The equation or the comparison, with its symbols in words.
    pub equation: &'static str,
    /// What it reads, as keys of the design file: `section.key`.
    pub inputs: &'static [&'static str],
    /// How to get what is missing, with a builder's tools.
    pub get: &'static str,
    /// What it cannot see.
    pub blind: &'static str,
}

macro_rules! methods {
    ($( $id:ident { equation: $equation:literal, inputs: [$($input:literal),*], get: $get:literal, blind: $blind:literal } )*) => {
        /// The rules of this file.
        pub(super) const fn method(id: RuleId) -> Option<Method> {
            match id {
                $( RuleId::$id => Some(Method {
                    equation: $equation,
                    inputs: &[ $( $input, )* ],
                    get: $get,
                    blind: $blind,
                }), )*
                _ => None,
            }
        }
    };
}

mod battery;
mod built;
mod insulation;
mod protection;
mod switching;
mod tested;

use super::registry::RuleId;

/// One for each file.
const FILES: [fn(RuleId) -> Option<Method>; 6] = [
    battery::method,
    protection::method,
    switching::method,
    insulation::method,
    built::method,
    tested::method,
];

impl RuleId {
    /// How it comes to its verdict. Every rule has its words, which a test holds to; an
    /// empty one stands for a rule that was just added.
    pub fn method(self) -> Method {
        FILES.into_iter().find_map(|of| of(self)).unwrap_or(Method {
            equation: "",
            inputs: &[],
            get: "",
            blind: "",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_tells_its_method_in_sentences() {
        for id in RuleId::ALL {
            let method = id.method();
            for text in [method.equation, method.get, method.blind] {
                assert!(text.ends_with('.'), "{}: {text}", id.slug());
            }
            assert!(!method.inputs.is_empty(), "{}", id.slug());
        }
    }

    #[test]
    fn no_rule_is_told_twice() {
        for id in RuleId::ALL {
            let told = FILES.iter().filter(|of| of(*id).is_some()).count();
            assert_eq!(told, 1, "{}", id.slug());
        }
    }
}
