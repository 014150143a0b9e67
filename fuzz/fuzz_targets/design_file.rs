//! Any bytes as a design file and the parts file that it includes: never a panic,
//! never a hang, never a key that is passed over in silence. What is accepted is
//! studied too.

#![no_main]

use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;
use orangeloom::design_file::{DesignFile, Files, Paint, schema, summary};
use orangeloom_core::network::Workspace;
use orangeloom_core::study::Study;

#[path = "../../host-cli/tests/known_keys/mod.rs"]
mod known_keys;

/// What stands between the two files in one input.
const CUT: &[u8] = b"\n#### parts.toml\n";

static SCHEMA: LazyLock<serde_json::Value> = LazyLock::new(schema);

struct Two<'a> {
    design: &'a [u8],
    parts: &'a [u8],
}

impl Files for Two<'_> {
    fn bytes(&self, path: &Path) -> std::io::Result<Vec<u8>> {
        match path.file_name().and_then(|name| name.to_str()) {
            Some("design.toml") => Ok(self.design.to_vec()),
            Some("parts.toml") => Ok(self.parts.to_vec()),
            _ => Err(std::io::Error::from(std::io::ErrorKind::NotFound)),
        }
    }

    fn identity(&self, path: &Path) -> PathBuf {
        path.to_owned()
    }
}

fuzz_target!(|data: &[u8]| {
    let cut = data.windows(CUT.len()).position(|here| here == CUT);
    let (design, parts) = match cut {
        Some(at) => (&data[..at], &data[at + CUT.len()..]),
        None => (data, &[][..]),
    };
    let read = DesignFile::read_from(&Two { design, parts }, Path::new("design.toml"));
    assert_eq!(
        read.render(Paint::Plain).is_empty(),
        read.problems.is_empty()
    );
    for problem in read.problems.iter().chain(&read.open) {
        let source = &read.sources[problem.place.file];
        assert!(problem.place.start <= source.text.len() + 1);
        let _ = read.position(&problem.place);
    }
    if !read.problems.is_empty() {
        return;
    }
    let _ = summary(&read);
    for source in &read.sources {
        let unknown = known_keys::unknown_key(&SCHEMA, &source.text);
        assert_eq!(unknown, None, "accepted in silence");
    }
    let mut study = Box::new(Study::new());
    study.compute(&read.design, &mut Box::new(Workspace::new()));
    let _ = study.verdict(&read.design);
});
