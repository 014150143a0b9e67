//! What holds for the sources of the core as a whole, found by reading them.

mod logged_results;
mod proven_calls;

use std::fs;
use std::path::Path;

use syn::Attribute;

/// The text of every source file below a directory of the repository.
fn sources(directory: &str) -> Vec<String> {
    let repository = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let mut found = Vec::new();
    read(&repository.join(directory), &mut found);
    found
}

fn read(directory: &Path, found: &mut Vec<String>) {
    for entry in fs::read_dir(directory).expect("the directory is there") {
        let path = entry.expect("it can be listed").path();
        if path.is_dir() {
            read(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(fs::read_to_string(&path).expect("it is text"));
        }
    }
}

/// Tests, and words for people, which are built for the host alone.
fn not_for_a_controller(attrs: &[Attribute]) -> bool {
    attrs.iter().any(|attr| {
        attr.path().is_ident("cfg")
            && attr.meta.require_list().is_ok_and(|list| {
                let condition = list.tokens.to_string();
                condition == "test" || condition == "feature = \"text\""
            })
    })
}
