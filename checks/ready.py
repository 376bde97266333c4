"""The examples with their routes and cut plans, for the checks that begin with those."""

import os
import shutil
import subprocess
from pathlib import Path


def example(program, source, folder):
    """Copies the example `source` to `folder` with what `build` makes of it.

    `cargo x test` builds every example once for all checks and says where in TUBEWRIGHT_BUILT; without that it is built here.
    """
    kept = os.environ.get("TUBEWRIGHT_BUILT")
    if kept:
        shutil.copytree(Path(kept) / Path(source).name, folder)
        return
    shutil.copytree(source, folder)
    done = subprocess.run([program, "build", folder, "-o", folder, "--effort", "0"], capture_output=True, text=True, check=False)
    assert done.returncode == 0, f"build {source}: exit {done.returncode}\n{done.stderr}"
