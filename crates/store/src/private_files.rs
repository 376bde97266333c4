//! Files and folders that only their owner may read.

use std::fs::{DirBuilder, File, OpenOptions};
use std::io;
use std::path::Path;

/// Creates a folder and those above it; one that exists is left as it is.
pub(crate) fn create_folder(folder: &Path) -> io::Result<()> {
    let mut builder = DirBuilder::new();
    builder.recursive(true);
    system::private_folder(&mut builder);
    builder.create(folder)
}

/// Opens a file to write, creating it when it is missing; either way only its owner may read it from now on.
pub(crate) fn open_file(file: &Path) -> io::Result<File> {
    let mut options = OpenOptions::new();
    options.write(true).create(true).truncate(false);
    system::private_file(&mut options);
    let opened = options.open(file)?;
    system::tighten(&opened);
    Ok(opened)
}

/// Flushes a folder, so that the names of new files in it survive a power cut.
pub(crate) fn flush_folder(folder: &Path) -> io::Result<()> {
    system::flush_folder(folder)
}

#[cfg(unix)]
mod system {
    use super::{DirBuilder, File, OpenOptions, Path, io};
    use std::fs::Permissions;
    use std::os::unix::fs::{DirBuilderExt as _, OpenOptionsExt as _, PermissionsExt as _};

    pub(super) fn private_folder(builder: &mut DirBuilder) {
        builder.mode(0o700);
    }

    pub(super) fn private_file(options: &mut OpenOptions) {
        options.mode(0o600);
    }

    pub(super) fn tighten(file: &File) {
        // Refused where the file belongs to another user or the file system has no modes: it can still be used.
        let _ = file.set_permissions(Permissions::from_mode(0o600));
    }

    pub(super) fn flush_folder(folder: &Path) -> io::Result<()> {
        File::open(folder)?.sync_all()
    }
}

/// Windows: a new file inherits the access list of its folder, and the user's data folder is readable by that user and
/// administrators only; names of files are flushed by the system.
#[cfg(not(unix))]
mod system {
    use super::{DirBuilder, File, OpenOptions, Path, io};

    pub(super) fn private_folder(_: &mut DirBuilder) {}

    pub(super) fn private_file(_: &mut OpenOptions) {}

    pub(super) fn tighten(_: &File) {}

    pub(super) fn flush_folder(_: &Path) -> io::Result<()> {
        Ok(())
    }
}
