//! Files that are written whole or not at all.

use std::io::Write;
use std::path::Path;

/// A file, new or in place of the one that is there.
pub(crate) fn write(to: &Path, bytes: &[u8]) -> std::io::Result<()> {
    match std::fs::metadata(to) {
        Ok(there) if there.is_file() => replace(to, bytes),
        // A pipe or a device has no place beside it and keeps nothing.
        Ok(_) => std::fs::write(to, bytes),
        Err(_) => create(to, bytes),
    }
}

/// A new file; overwrites nothing.
pub(crate) fn create(to: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut file = std::fs::File::create_new(to)?;
    let written = file.write_all(bytes).and_then(|()| file.sync_all());
    if written.is_err() {
        // Half a file says what nobody wrote. The error that is told is the first.
        let _ = std::fs::remove_file(to);
    }
    written
}

/// Other bytes in a file that is there: whole, or not at all.
pub(crate) fn replace(to: &Path, bytes: &[u8]) -> std::io::Result<()> {
    // A link is followed, so that it stays one.
    let to = to.canonicalize()?;
    let mut name = to.file_name().unwrap_or_default().to_owned();
    name.push(".new");
    let beside = to.with_file_name(name);
    create(&beside, bytes).map_err(|why| {
        let beside = beside.display();
        let what = match why.kind() {
            std::io::ErrorKind::AlreadyExists => {
                format!("{beside} is there from another try; look at it and remove it")
            }
            _ => format!("{beside}: {why}"),
        };
        std::io::Error::new(why.kind(), what)
    })?;
    let moved = std::fs::metadata(&to)
        .and_then(|old| std::fs::set_permissions(&beside, old.permissions()))
        .and_then(|()| std::fs::rename(&beside, &to));
    if moved.is_err() {
        // The error that is told is the first.
        let _ = std::fs::remove_file(&beside);
    }
    moved
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    #[test]
    fn a_file_is_replaced_whole_and_nothing_stays_beside_it() {
        let directory =
            std::env::temp_dir().join(format!("orangeloom-whole-{}", std::process::id()));
        fs::create_dir_all(&directory).unwrap();
        let file = directory.join("a.bin");
        create(&file, b"one").unwrap();
        assert!(create(&file, b"two").is_err());
        assert_eq!(fs::read(&file).unwrap(), b"one");
        replace(&file, b"two").unwrap();
        assert_eq!(fs::read(&file).unwrap(), b"two");
        // What another try left is not overwritten, and the file stays as it is.
        fs::write(directory.join("a.bin.new"), b"half").unwrap();
        assert!(replace(&file, b"three").is_err());
        assert_eq!(fs::read(&file).unwrap(), b"two");
        assert_eq!(fs::read_dir(&directory).unwrap().count(), 2);
        fs::remove_dir_all(&directory).unwrap();
    }
}
