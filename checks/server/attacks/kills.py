"""The server is killed (SIGKILL) while four callers write, 100 times: what it acknowledged is there afterwards, whole."""

import http.client
import threading
import time

from harness import SMALL_JOB

KILLS = {"sqlite": 75, "postgres": 25}


def writer(server, job, x, acknowledged, lock):
    """Edits until the server is gone; notes each version that was acknowledged."""
    try:
        job = server.done("GET", f"/api/jobs/{job['id']}")
        while True:
            answer = server.edit(job, x)
            if answer.status == 409:
                job = server.done("GET", f"/api/jobs/{job['id']}")
                continue
            assert answer.status == 200, answer.body[:300]
            job = answer.json()
            with lock:
                acknowledged[job["id"]] = max(acknowledged.get(job["id"], 0), job["version"])
            x += 1
    except (OSError, http.client.HTTPException):
        return


def on(server, name):
    kills = KILLS[name]
    lock, acknowledged = threading.Lock(), {}
    jobs = [server.job(SMALL_JOB.replace("one tube", f"job {k}")) for k in range(2)]
    for kill in range(kills):
        # Two callers on each job: conflicts are among the calls.
        callers = [
            threading.Thread(target=writer, args=(server, jobs[k % 2], 1000 * kill + 300 * k, acknowledged, lock))
            for k in range(4)
        ]
        for caller in callers:
            caller.start()
        time.sleep(0.04 + kill * 37 % 100 / 1000)
        server.kill()
        for caller in callers:
            caller.join()
        server.start()
        for job in jobs:
            found = server.done("GET", f"/api/jobs/{job['id']}")["version"]
            assert found >= acknowledged.get(job["id"], 0), f"{name}, kill {kill}: {found} < {acknowledged}"
    server.stop()
    checked = server.instead("--check")
    assert checked.returncode == 0, checked.stderr
    return f"{kills} kills, {sum(acknowledged.values())} versions acknowledged"


def attack(ctx):
    return ctx.on_both(on)
