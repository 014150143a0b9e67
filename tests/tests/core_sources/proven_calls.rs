//! The proof that no panic is reachable covers every public function.
//!
//! `ci/on-target` links an image that makes the calls in
//! `tests/on-target/src/calls`; a function that is not called there is not proven.
//! This reads both sides as source and compares names. It does not resolve types:
//! two methods of one name on two types count as called when one of them is and
//! the other type is named in the same file.

use std::collections::BTreeSet;

use proc_macro2::{TokenStream, TokenTree};
use syn::visit::{self, Visit};
use syn::{Attribute, FnArg, ImplItemFn, Item, ItemFn, ItemImpl, ItemMacro, ItemMod, Visibility};

use super::{not_for_a_controller, sources};

/// Public functions that no call proves, as `Type::function` or `function`, each
/// with the reason.
const NOT_CALLED: &[(&str, &str)] = &[];

#[test]
fn every_public_function_of_the_core_is_called_by_the_proof() {
    let calls = Calls::read();
    let mut missing = BTreeSet::new();
    let mut excused = BTreeSet::new();
    let functions = public_functions();
    assert!(functions.len() > 50, "found {} only", functions.len());
    for function in functions {
        let name = function.name();
        if calls.make(&function) {
            continue;
        }
        if NOT_CALLED.iter().any(|(known, _)| *known == name) {
            excused.insert(name);
        } else {
            missing.insert(name);
        }
    }
    assert!(
        missing.is_empty(),
        "add a call, with the type written out, to tests/on-target/src/calls for: {missing:#?}"
    );
    assert_eq!(
        excused.len(),
        NOT_CALLED.len(),
        "an entry of NOT_CALLED is called or gone"
    );
}

#[derive(Debug)]
struct Function {
    owner: Option<String>,
    name: String,
    receiver: bool,
}

impl Function {
    fn name(&self) -> String {
        match &self.owner {
            Some(owner) => format!("{owner}::{}", self.name),
            None => self.name.clone(),
        }
    }
}

fn public_functions() -> Vec<Function> {
    let mut finder = Finder {
        owner: None,
        found: Vec::new(),
    };
    for source in sources("core/src") {
        let file = syn::parse_file(&source).expect("the core compiles");
        if !not_for_a_controller(&file.attrs) {
            finder.visit_file(&file);
        }
    }
    finder.found
}

struct Finder {
    owner: Option<String>,
    found: Vec<Function>,
}

impl Finder {
    fn add(&mut self, vis: &Visibility, attrs: &[Attribute], sig: &syn::Signature) {
        if matches!(vis, Visibility::Public(_)) && !not_for_a_controller(attrs) {
            self.found.push(Function {
                owner: self.owner.clone(),
                name: sig.ident.to_string(),
                receiver: matches!(sig.inputs.first(), Some(FnArg::Receiver(_))),
            });
        }
    }
}

impl Visit<'_> for Finder {
    fn visit_item(&mut self, item: &Item) {
        let skip = match item {
            Item::Mod(ItemMod { attrs, .. }) | Item::Impl(ItemImpl { attrs, .. }) => {
                not_for_a_controller(attrs)
            }
            _ => false,
        };
        if !skip {
            visit::visit_item(self, item);
        }
    }

    fn visit_item_fn(&mut self, function: &ItemFn) {
        self.add(&function.vis, &function.attrs, &function.sig);
    }

    fn visit_item_impl(&mut self, item: &ItemImpl) {
        // Methods of a trait come with the operator or conversion they stand for.
        if item.trait_.is_some() {
            return;
        }
        let outer = self.owner.take();
        if let syn::Type::Path(path) = &*item.self_ty {
            self.owner = path.path.segments.last().map(|s| s.ident.to_string());
        }
        visit::visit_item_impl(self, item);
        self.owner = outer;
    }

    fn visit_impl_item_fn(&mut self, function: &ImplItemFn) {
        self.add(&function.vis, &function.attrs, &function.sig);
    }

    fn visit_item_macro(&mut self, item: &ItemMacro) {
        let words = words(item.mac.tokens.clone());
        if item.mac.path.is_ident("quantity") {
            // quantity!(doc Name, Bound, from_unit / as_unit ...)
            let owner = words
                .windows(2)
                .find(|pair| pair[1] == ",")
                .map(|pair| pair[0].clone());
            for word in &words {
                if word.starts_with("from_") || word.starts_with("as_") {
                    self.found.push(Function {
                        owner: owner.clone(),
                        name: word.clone(),
                        receiver: true,
                    });
                }
            }
        } else if item.ident.is_some() {
            self.found.extend(generated(&words));
        }
    }
}

/// Public functions in the body of a `macro_rules!` whose name is written out.
fn generated(words: &[String]) -> Vec<Function> {
    let mut found = Vec::new();
    for (index, name) in words.iter().enumerate() {
        let Some(("fn", before)) = index
            .checked_sub(1)
            .map(|last| (words[last].as_str(), &words[..last]))
        else {
            continue;
        };
        let before = match before {
            [before @ .., last] if last == "const" => before,
            before => before,
        };
        let [before @ .., vis] = before else { continue };
        let for_people = before.last().is_some_and(|word| word == "\"text\"");
        if vis == "pub" && name != "$" && !for_people {
            found.push(Function {
                owner: None,
                name: name.clone(),
                receiver: true,
            });
        }
    }
    found
}

/// Identifiers and punctuation in reading order; the groups are opened up.
fn words(tokens: TokenStream) -> Vec<String> {
    let mut found = Vec::new();
    for token in tokens {
        match token {
            TokenTree::Group(group) => found.extend(words(group.stream())),
            other => found.push(other.to_string()),
        }
    }
    found
}

/// The words of each file with calls.
struct Calls(Vec<Vec<String>>);

impl Calls {
    fn read() -> Self {
        let files = sources("tests/on-target/src/calls");
        Self(
            files
                .iter()
                .map(|source| words(source.parse().expect("the calls compile")))
                .collect(),
        )
    }

    fn make(&self, function: &Function) -> bool {
        self.0.iter().any(|words| {
            let names = |name: &String| words.contains(name);
            match &function.owner {
                Some(owner) if !function.receiver => words.windows(4).any(|run| {
                    run[0] == *owner && run[1] == ":" && run[2] == ":" && run[3] == function.name
                }),
                Some(owner) => names(owner) && names(&function.name),
                None => names(&function.name),
            }
        })
    }
}
