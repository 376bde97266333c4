"""A folder that may only be read, and a store that is not there: said in words, nothing created."""

import os
import stat
import subprocess


def attack(ctx):
    with ctx.server() as server:
        server.edit(server.job(), 1)
        server.kill()
    # A mistyped folder is not made a store of.
    missing = ctx.server("mistyped")
    checked = missing.instead("--check")
    assert checked.returncode == 2 and str(missing.data) in checked.stderr, checked.stderr
    assert not missing.data.exists(), "--check has created a folder"
    for file in server.data.iterdir():
        mode = stat.S_IMODE(file.stat().st_mode)
        assert mode == 0o600, f"{file.name} has mode {mode:o}"
    backup = ctx.folder / "backup.sqlite"
    os.umask(0o022)
    assert server.instead("--backup", backup).returncode == 0
    assert stat.S_IMODE(backup.stat().st_mode) == 0o600, "the backup can be read by others"
    if os.geteuid() == 0:
        # Root writes into any folder unless it is mounted to be read only.
        if subprocess.run(["mount", "--bind", "-o", "ro", server.data, server.data], capture_output=True).returncode:
            return "modes held; a folder cannot be mounted read-only here"
    else:
        server.data.chmod(0o500)
    try:
        started = subprocess.run(
            [server.program, "serve", "--port", "0", *server.where()], capture_output=True, text=True, timeout=20
        )
        assert started.returncode == 2, started
        assert str(server.data) in started.stderr and "written" in started.stderr, started.stderr
    finally:
        if os.geteuid() == 0:
            subprocess.run(["umount", "-l", server.data], check=False)
        else:
            server.data.chmod(0o700)
    return started.stderr.strip()
