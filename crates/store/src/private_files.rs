//! Files and folders that only their owner may read, and replacing one file by another: what differs between systems.

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

/// Gives a finished draft the name of the file that it replaces, all or nothing.
pub(crate) fn replace(draft: &Path, file: &Path) -> io::Result<()> {
    system::replace(draft, file)
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

    pub(super) fn replace(draft: &Path, file: &Path) -> io::Result<()> {
        std::fs::rename(draft, file)
    }
}

/// Windows: a new file inherits the access list of its folder, and the user's data folder is readable by that user and
/// administrators only; names of files are flushed by the system. A file that another handle has open cannot be renamed, and
/// SQLite closes its own on a thread that may end a little later, as may a virus scanner: so renaming is tried again.
#[cfg(windows)]
mod system {
    use super::{DirBuilder, File, OpenOptions, Path, io};
    use std::time::Duration;

    /// Attempts to rename, and the pause between two: two seconds together.
    const ATTEMPTS: u32 = 40;
    const PAUSE: Duration = Duration::from_millis(50);

    pub(super) fn private_folder(_: &mut DirBuilder) {}

    pub(super) fn private_file(_: &mut OpenOptions) {}

    pub(super) fn tighten(_: &File) {}

    pub(super) fn flush_folder(_: &Path) -> io::Result<()> {
        Ok(())
    }

    pub(super) fn replace(draft: &Path, file: &Path) -> io::Result<()> {
        for _ in 1..ATTEMPTS {
            match std::fs::rename(draft, file) {
                Err(why) if is_in_use(&why) => std::thread::sleep(PAUSE),
                done => return done,
            }
        }
        std::fs::rename(draft, file)
    }

    /// ERROR_ACCESS_DENIED, ERROR_SHARING_VIOLATION and ERROR_LOCK_VIOLATION (System Error Codes of the Windows API).
    fn is_in_use(why: &io::Error) -> bool {
        matches!(why.raw_os_error(), Some(5 | 32 | 33))
    }
}
