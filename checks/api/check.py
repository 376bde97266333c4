"""Starts the server and lets Schemathesis call it by its OpenAPI document.

    python check.py PROGRAM EXAMPLES FOLDER MODULES

PROGRAM is tubewright, FOLDER one to work in; the other two are not used.
"""

import json
import shutil
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

PROGRAM, _, FOLDER, _ = sys.argv[1:5]
SEED = "20251125"
# Calls made up for each operation.
EXAMPLES = "25"


def call(base, method, path, body=None):
    data = None if body is None else json.dumps(body).encode()
    head = {"Content-Type": "application/json"} if data else {}
    request = urllib.request.Request(base + path, data=data, headers=head, method=method)
    with urllib.request.urlopen(request, timeout=120) as answer:
        return json.loads(answer.read())


def start(folder):
    """The server, and its address as it prints it."""
    command = [PROGRAM, "serve", "--port", "0", "--data", str(folder / "data")]
    log = open(folder / "server.log", "w", encoding="utf-8")
    server = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=log, text=True)
    line = server.stdout.readline()
    assert "http://" in line, f"the server did not start: {line!r} {(folder / 'server.log').read_text()}"
    return server, line[line.index("http://") :].split()[0].rstrip("/")


def first_job(base):
    """The example that the first start puts into the shop, once it is routed and cut."""
    for _ in range(600):
        jobs = call(base, "GET", "/api/jobs")["jobs"]
        if jobs and jobs[0]["state"] == "cut":
            return jobs[0]["id"]
        time.sleep(0.2)
    raise AssertionError("the first start puts no finished example into the shop")


def settings(folder, job, revision):
    """Ids that are there, so that more than refusals is met."""
    file = folder / "schemathesis.toml"
    file.write_text(f'[parameters]\n"path.id" = "{job}"\n"path.revision" = "{revision}"\n', encoding="utf-8")
    return file


def main():
    folder = Path(FOLDER)
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    server, base = start(folder)
    try:
        job = first_job(base)
        revision = call(base, "GET", f"/api/jobs/{job}/revisions")["revisions"][0]["id"]
        config = settings(folder, job, revision)
        done = subprocess.run(
            [sys.executable, "-m", "schemathesis.cli", "--config-file", str(config), "run", f"{base}/api/openapi.json"]
            + ["--seed", SEED, "--max-examples", EXAMPLES, "--workers", "1", "--exclude-path-regex", "/searches$"]
            + ["--exclude-checks", "positive_data_acceptance", "--phases", "examples,coverage,fuzzing"]
            + ["--request-timeout", "60", "--no-color"],
            cwd=folder,
            capture_output=True,
            text=True,
        )
        (folder / "schemathesis.log").write_text(done.stdout + done.stderr, encoding="utf-8")
        print(done.stdout[-6000:] if done.returncode else done.stdout[-900:])
        assert done.returncode == 0, "Schemathesis is not content (above; the whole in schemathesis.log)"
        assert server.poll() is None, "the server ended"
        faults = [line for line in (folder / "server.log").read_text(encoding="utf-8").splitlines() if "ERROR" in line]
        assert not faults, faults[:5]
    finally:
        server.terminate()
        server.wait(timeout=30)


main()
