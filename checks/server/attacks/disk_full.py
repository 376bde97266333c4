"""The disk is full for a while: the answer says so and names the folder, and work goes on once there is room."""

import os
import resource
import signal
import subprocess

from harness import Skipped

# Room of the disk, MB.
ROOM = 24


def is_full(answer, data):
    assert answer.status == 503, f"{answer.status} {answer.body[:300]}"
    error = answer.error()
    assert "full" in error["message"] and str(data) in error["message"], error
    assert "fault" not in error["message"], error


def on_a_small_disk(ctx):
    disk = ctx.folder / "disk"
    disk.mkdir()
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={ROOM}m", "tmpfs", disk], capture_output=True, text=True)
    if mounted.returncode:
        return None
    try:
        data = disk / "data"
        with ctx.server(data=data) as server:
            job = server.job()
            job = server.edit(job, 1).json()
            ballast = disk / "ballast"
            with open(ballast, "wb", buffering=0) as file:
                try:
                    while file.write(b"\0" * 65536):
                        pass
                except OSError:
                    pass
            refused = 0
            for k in range(40):
                answer = server.edit(job, 100 + k)
                if answer.status == 200:
                    # There was room for it in the log: it counts as any other.
                    job = answer.json()
                    continue
                is_full(answer, data)
                refused += 1
                if refused == 3:
                    break
            assert refused == 3, "the disk was never full"
            is_full(server.call("GET", "/api/health"), data)
            # What is there can still be read.
            assert server.done("GET", f"/api/jobs/{job['id']}")["version"] == job["version"]
            ballast.unlink()
            answer = server.edit(job, 7)
            assert answer.status == 200, f"room is back, and an edit: {answer.status} {answer.body[:300]}"
            job = answer.json()
            server.done("GET", "/api/health")
            server.kill()
            server.start()
            assert server.done("GET", f"/api/jobs/{job['id']}")["version"] == job["version"], "acknowledged work is gone"
            assert server.instead("--check").returncode == 0
            return server.figures()
    finally:
        subprocess.run(["umount", "-l", disk], check=False)


def with_a_limit(ctx):
    """Without the right to mount: no file may grow beyond a limit, as with a quota."""
    limit = 1 << 20
    data = ctx.folder / "data"
    # A write beyond the limit is to fail, not to end the program.
    ignored = lambda: signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    with ctx.server(data=data, before=ignored) as server:
        job = server.edit(server.job(), 1).json()
        resource.prlimit(server.pid, resource.RLIMIT_FSIZE, (limit, resource.RLIM_INFINITY))
        answer = None
        for k in range(400):
            answer = server.edit(job, 100 + k)
            if answer.status != 200:
                break
            job = answer.json()
        assert answer.status == 503 and str(data) in answer.error()["message"], answer.body[:300]
        resource.prlimit(server.pid, resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
        answer = server.edit(job, 7)
        assert answer.status == 200, f"the limit is gone, and an edit: {answer.status} {answer.body[:300]}"
        return "by a limit of file size; " + server.figures()


def attack(ctx):
    figures = on_a_small_disk(ctx) if os.geteuid() == 0 else None
    if figures is None:
        if not hasattr(resource, "prlimit"):
            raise Skipped("neither mounting nor prlimit is possible here")
        figures = with_a_limit(ctx)
    return figures
