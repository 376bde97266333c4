"""Runs every attack of attacks/*.py on servers of their own. Loopback only, bounded in count and time.

    python check.py PROGRAM EXAMPLES FOLDER MODULES [ATTACK...]

PROGRAM is tubewright, FOLDER one to work in; MODULES is not used. With names, only those attacks run.
"""

import concurrent.futures
import importlib.util
import sys
import threading
import time
import traceback
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))
import harness  # noqa: E402

AT_A_TIME = 2


class Shared:
    """The PostgreSQL of all attacks: started when the first asks for it."""

    def __init__(self, folder):
        self.folder, self.lock, self.server = folder, threading.Lock(), None

    def get(self):
        with self.lock:
            if self.server is None:
                if not harness.postgres_program("initdb"):
                    raise AssertionError("PostgreSQL is needed (Debian: apt-get install postgresql)")
                self.server = harness.Postgres(self.folder).__enter__()
            return self.server

    def close(self):
        if self.server is not None:
            self.server.__exit__()


def load(file):
    spec = importlib.util.spec_from_file_location(f"attack_{file.stem}", file)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def run(file, program, examples, folder, shared):
    """Whether the attack was held off, and a line about it."""
    begun = time.perf_counter()
    name = file.stem
    try:
        figures = load(file).attack(harness.Context(program, examples, folder, name, shared.get))
    except harness.Skipped as why:
        return True, f"  {name}: skipped: {why}"
    except BaseException:  # noqa: BLE001 - every failure is one of the attack
        return False, f"  {name}: FAILED\n{traceback.format_exc()}"
    return True, f"  {name} ({time.perf_counter() - begun:.0f} s): {figures or 'held'}"


def main():
    program, examples, folder, _, *names = sys.argv[1:]
    files = sorted((Path(__file__).resolve().parent / "attacks").glob("*.py"))
    files = [f for f in files if not names or f.stem in names]
    assert files, "there is no attack of that name"
    shared = Shared(Path(folder))
    failed = 0
    try:
        with concurrent.futures.ThreadPoolExecutor(AT_A_TIME) as pool:
            jobs = [pool.submit(run, f, Path(program).resolve(), examples, Path(folder).resolve(), shared) for f in files]
            for job in concurrent.futures.as_completed(jobs):
                held, line = job.result()
                failed += not held
                print(line, flush=True)
    finally:
        shared.close()
    print(f"{len(files) - failed} of {len(files)} attacks held off")
    sys.exit(failed > 0)


main()
