//! Files, the files they include, and their text as trees.

use std::collections::HashMap;
use std::path::{Component, Path, PathBuf};

use toml::de::DeTable;

use super::problem::{Problem, ProblemName, quoted};
use super::source::{Place, Source};
use super::tree::{Entry, Node, Tree, entries};

/// How deep files may include files; the design file itself is at depth 0.
pub const MOST_DEPTH: usize = 8;
/// Most files of one design.
pub const MOST_FILES: usize = 32;
/// Most bytes of one file. The largest demonstration has twenty thousand.
pub const MOST_BYTES: usize = 1 << 20;

/// Where the bytes of files come from: a disk, or a list in a test.
pub trait Files {
    /// The bytes of a file, at most one more than [`MOST_BYTES`].
    ///
    /// # Errors
    /// Whatever the system says.
    fn bytes(&self, path: &Path) -> std::io::Result<Vec<u8>>;

    /// One path for every way to write it, so that a file is known again.
    fn identity(&self, path: &Path) -> PathBuf;
}

/// The files on the disk.
#[derive(Clone, Copy, Debug)]
#[allow(clippy::exhaustive_structs)] // there is one
pub struct Disk;

impl Files for Disk {
    fn bytes(&self, path: &Path) -> std::io::Result<Vec<u8>> {
        use std::io::Read;
        // A device or a pipe may never end, so that its kind is looked at first.
        if !std::fs::metadata(path)?.is_file() {
            return Err(std::io::Error::other("it is no file"));
        }
        let mut bytes = Vec::new();
        let most = u64::try_from(MOST_BYTES).unwrap_or(u64::MAX) + 1;
        std::fs::File::open(path)?
            .take(most)
            .read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    fn identity(&self, path: &Path) -> PathBuf {
        path.canonicalize().unwrap_or_else(|_| tidy(path))
    }
}

/// A path without `.` and `..`, as far as can be told without a disk.
pub(super) fn tidy(path: &Path) -> PathBuf {
    let mut tidy = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir if tidy.file_name().is_some() => {
                tidy.pop();
            }
            other => tidy.push(other),
        }
    }
    tidy
}

/// Every file with its tree.
#[derive(Default)]
pub(super) struct Loaded {
    pub(super) sources: Vec<Source>,
    pub(super) trees: Vec<Vec<Entry>>,
    pub(super) problems: Vec<Problem>,
}

/// Reads a file and all that it includes.
pub(super) fn load(files: &dyn Files, path: &Path) -> Loaded {
    let mut loader = Loader {
        files,
        loaded: Loaded::default(),
        known: HashMap::new(),
        open: Vec::new(),
    };
    let nowhere = Place::new(0, 0..0);
    match text_of_file(files, path) {
        Ok(text) => loader.file(path, text),
        Err(why) => {
            let unread = Source::new(path.display().to_string(), String::new());
            loader.loaded.sources.push(unread);
            let problem = Problem::new(
                ProblemName::Unreadable,
                nowhere,
                format!("{} cannot be read: {why}", quoted(&path.to_string_lossy())),
            )
            .advice("look at name and folder; `orangeloom new` writes a design to start from");
            loader.loaded.problems.push(problem);
        }
    }
    loader.loaded
}

/// The text of a file, or why there is none.
pub(super) fn text_of_file(files: &dyn Files, path: &Path) -> Result<String, String> {
    let bytes = files.bytes(path).map_err(|why| why.to_string())?;
    if bytes.len() > MOST_BYTES {
        return Err(format!("it is longer than {} kB", MOST_BYTES / 1024));
    }
    String::from_utf8(bytes).map_err(|why| {
        let at = why.utf8_error().valid_up_to();
        format!("it is not UTF-8 text from byte {at} on; save it as UTF-8")
    })
}

/// The tree of a text.
pub(super) fn parse(file: usize, text: &str, problems: &mut Vec<Problem>) -> Vec<Entry> {
    let (tree, errors) = DeTable::parse_recoverable(text);
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        let what = format!("this is not TOML: {}", error.message());
        let problem = Problem::new(ProblemName::Syntax, Place::new(file, span), what).advice(
            "a line is key = value; texts and quantities stand in quotes: air = \"85 degC\"",
        );
        problems.push(problem);
    }
    entries(file, tree.into_inner())
}

struct Loader<'a> {
    files: &'a dyn Files,
    loaded: Loaded,
    /// Every file that was begun, by identity.
    known: HashMap<PathBuf, usize>,
    /// The files from the first to this one.
    open: Vec<PathBuf>,
}

impl Loader<'_> {
    fn file(&mut self, path: &Path, text: String) {
        let identity = self.files.identity(path);
        let file = self.loaded.sources.len();
        self.known.insert(identity.clone(), file);
        let tree = parse(file, &text, &mut self.loaded.problems);
        let source = Source::new(path.display().to_string(), text);
        self.loaded.sources.push(source);
        let wanted = self.includes(&tree);
        self.loaded.trees.push(tree);
        self.open.push(identity);
        for (name, place) in wanted {
            self.include(path, &name, place);
        }
        self.open.pop();
    }

    /// The values of the key `include` with their places.
    fn includes(&mut self, tree: &[Entry]) -> Vec<(String, Place)> {
        let Some(entry) = tree.iter().find(|entry| entry.key == "include") else {
            return Vec::new();
        };
        let wrong = |found: &Node| {
            let what = format!(
                "include is {}, a list of files is needed",
                found.value.words()
            );
            Problem::new(ProblemName::WrongType, found.place.clone(), what)
                .advice("write include = [\"parts.toml\"]")
        };
        let mut names = Vec::new();
        let Tree::List(list) = &entry.node.value else {
            self.loaded.problems.push(wrong(&entry.node));
            return names;
        };
        for item in list {
            match &item.value {
                Tree::Text(name) => names.push((name.clone(), item.place.clone())),
                _ => self.loaded.problems.push(wrong(item)),
            }
        }
        names
    }

    fn include(&mut self, from: &Path, name: &str, place: Place) {
        let path = from.parent().unwrap_or(Path::new("")).join(name);
        let identity = self.files.identity(&path);
        if let Some(at) = self.open.iter().position(|open| *open == identity) {
            let chain: Vec<String> = self
                .open
                .iter()
                .skip(at)
                .chain([&identity])
                .map(|file| {
                    file.file_name()
                        .unwrap_or_default()
                        .to_string_lossy()
                        .into()
                })
                .collect();
            let problem = Problem::new(
                ProblemName::IncludeLoop,
                place,
                format!(
                    "the files include each other in a ring: {}",
                    chain.join(" -> ")
                ),
            )
            .here("this file is being read already")
            .advice("take this name out of include; a file that is included once is known to all");
            self.loaded.problems.push(problem);
            return;
        }
        // A parts file that two files share is read once.
        if self.known.contains_key(&identity) {
            return;
        }
        if self.open.len() > MOST_DEPTH || self.loaded.sources.len() >= MOST_FILES {
            let problem = Problem::new(
                ProblemName::IncludeDepth,
                place,
                format!(
                    "{} is not read: files include files at most {MOST_DEPTH} deep, and a design has at most {MOST_FILES}",
                    quoted(name)
                ),
            )
            .advice("include it from the design file, or put files together");
            self.loaded.problems.push(problem);
            return;
        }
        match text_of_file(self.files, &path) {
            Ok(text) => self.file(&path, text),
            Err(why) => {
                let problem = Problem::new(
                    ProblemName::Unreadable,
                    place,
                    format!("{} cannot be read: {why}", quoted(&path.to_string_lossy())),
                )
                .advice("the name is relative to the file that includes it");
                self.loaded.problems.push(problem);
            }
        }
    }
}
