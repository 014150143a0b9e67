//! The design that the image on the controller studies is that of the fixture.
//!
//! After a change of the fixture or of the model:
//! `ORANGELOOM_WRITE=1 cargo test -p orangeloom-tests --test vector_design`.

use std::path::Path;

use orangeloom::design_file::DesignFile;
use orangeloom_core::design::{Conductor, Design};

#[test]
fn the_bytes_that_the_image_reads_are_current() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let read = DesignFile::read(&here.join("../fixtures/lake-rescue-truck-mended/design.toml"));
    assert!(read.problems.is_empty());
    let mut room = vec![0; size_of::<Design>()];
    let bytes = postcard::to_slice(&*read.design, &mut room).unwrap();
    let path = here.join("vectors/designs/lake-rescue-truck-mended.postcard");
    if std::env::var_os("ORANGELOOM_WRITE").is_some() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, &*bytes).unwrap();
    }
    assert!(std::fs::read(&path).unwrap() == bytes, "{}", path.display());
    let again: Design = postcard::from_bytes(bytes).unwrap();
    assert_eq!(again, *read.design);
    assert!(again.all::<Conductor>().count() >= 24);
}
