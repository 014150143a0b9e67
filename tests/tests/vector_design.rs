//! The design that the image on the controller studies is that of the fixture.
//!
//! After a change of the fixture or of the model:
//! `ORANGELOOM_WRITE=1 cargo test -p orangeloom-tests --test vector_design`.

use std::path::Path;

use orangeloom_core::design::{Conductor, Design};
use orangeloom_tests::fixture;

#[test]
fn the_bytes_that_the_image_reads_are_current() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let design = fixture::design("lake-rescue-truck-mended");
    let mut room = vec![0; size_of::<Design>()];
    let bytes = postcard::to_slice(&*design, &mut room).unwrap();
    let path = here.join("vectors/designs/lake-rescue-truck-mended.postcard");
    if std::env::var_os("ORANGELOOM_WRITE").is_some() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, &*bytes).unwrap();
    }
    assert!(std::fs::read(&path).unwrap() == bytes, "{}", path.display());
    let again: Design = postcard::from_bytes(bytes).unwrap();
    assert_eq!(again, *design);
    assert!(again.all::<Conductor>().count() >= 24);
}
