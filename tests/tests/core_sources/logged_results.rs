//! Whatever the core gives can be logged on a controller, with the feature `defmt`.

use std::collections::BTreeSet;

use syn::visit::{self, Visit};
use syn::{Attribute, Item, ItemEnum, ItemImpl, ItemMod, ItemStruct, Visibility};

use super::{not_for_a_controller, sources};

/// Public types that cannot be logged, each with the reason.
const NOT_LOGGED: &[(&str, &str)] = &[
    ("FaultWorkspace", "room to calculate in"),
    ("Monitors", "their state; what they give is logged"),
    ("Prose", "words for people"),
    ("Rule", "holds code; its number and its findings are logged"),
    ("Transient", "room to calculate in"),
    ("Workspace", "room to calculate in"),
];

#[derive(Default)]
struct Finder {
    public: BTreeSet<String>,
    logged: BTreeSet<String>,
}

/// Whether `defmt::Format` is derived with the feature.
fn derives(attrs: &[Attribute]) -> bool {
    attrs.iter().any(|attr| {
        attr.path().is_ident("cfg_attr")
            && attr.meta.require_list().is_ok_and(|list| {
                let told = list.tokens.to_string().replace(' ', "");
                told.contains("feature=\"defmt\"") && told.contains("defmt::Format")
            })
    })
}

impl Finder {
    fn add(&mut self, vis: &Visibility, attrs: &[Attribute], name: &syn::Ident) {
        if matches!(vis, Visibility::Public(_)) && !not_for_a_controller(attrs) {
            self.public.insert(name.to_string());
            if derives(attrs) {
                self.logged.insert(name.to_string());
            }
        }
    }
}

impl Visit<'_> for Finder {
    fn visit_item(&mut self, item: &Item) {
        if !matches!(item, Item::Mod(ItemMod { attrs, .. }) if not_for_a_controller(attrs)) {
            visit::visit_item(self, item);
        }
    }

    fn visit_item_struct(&mut self, item: &ItemStruct) {
        self.add(&item.vis, &item.attrs, &item.ident);
    }

    fn visit_item_enum(&mut self, item: &ItemEnum) {
        self.add(&item.vis, &item.attrs, &item.ident);
    }

    fn visit_item_impl(&mut self, item: &ItemImpl) {
        let formats = item.trait_.as_ref().is_some_and(|(_, path, _)| {
            let last = path.segments.last();
            last.is_some_and(|last| last.ident == "Format")
        });
        if let (true, syn::Type::Path(path)) = (formats, &*item.self_ty) {
            let last = path.path.segments.last();
            self.logged.extend(last.map(|last| last.ident.to_string()));
        }
    }
}

/// Types that a macro makes carry the derive in the macro; an `impl` stands in the file of
/// its type.
#[test]
fn every_public_type_of_the_core_can_be_logged() {
    let mut lacking = Vec::new();
    let mut public = 0;
    for source in sources("core/src") {
        let file = syn::parse_file(&source).expect("the core compiles");
        if not_for_a_controller(&file.attrs) {
            continue;
        }
        let mut finder = Finder::default();
        finder.visit_file(&file);
        public += finder.public.len();
        lacking.extend(finder.public.difference(&finder.logged).cloned());
    }
    lacking.sort_unstable();
    assert!(public > 200, "{public} only");
    let known: Vec<&str> = NOT_LOGGED.iter().map(|(name, _)| *name).collect();
    assert_eq!(
        lacking, known,
        "derive defmt::Format with the feature, or list the type with the reason"
    );
}
