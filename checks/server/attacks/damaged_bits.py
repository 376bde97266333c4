"""One bit of a closed store flipped, 30 times at random places: --check notices each, and serve does not start silently."""

import random
import subprocess
import time

FLIPS = 30
SEED = 20261128


def attack(ctx):
    with ctx.server() as server:
        job = server.job()
        for x in range(25):
            job = server.edit(job, x).json()
        server.done("PATCH", "/api/shop", {"name": "a shop with damaged bits"})
        server.stop()
    file = server.data / "shop.sqlite"
    whole = {f: f.read_bytes() for f in server.data.iterdir()}
    assert {f.name for f in whole} >= {"shop.sqlite", "shop.sqlite.sum"}, "a closed store has a sum"
    assert server.instead("--check").returncode == 0
    chance = random.Random(SEED)
    missed, silent = [], []
    for flip in range(FLIPS):
        at, bit = chance.randrange(len(whole[file])), chance.randrange(8)
        # Every time from the folder as it was closed.
        for beside in server.data.iterdir():
            beside.unlink()
        for name, data in whole.items():
            name.write_bytes(data)
        damaged = bytearray(whole[file])
        damaged[at] ^= 1 << bit
        file.write_bytes(damaged)
        checked = server.instead("--check")
        if checked.returncode == 0:
            missed.append((at, bit))
        # Every third is served too: a start takes a moment.
        if flip % 3 == 0 and not warned(server):
            silent.append((at, bit))
    assert not missed, f"{len(missed)} of {FLIPS} not noticed: {missed}"
    assert not silent, f"{len(silent)} served without a warning: {silent}"
    return f"{FLIPS} of {FLIPS} noticed in a file of {len(whole[file]) // 1024} kB"


def warned(server):
    """Whether a server on this store does not start, or logs the damage."""
    command = [server.program, "serve", "--port", "0", *server.where()]
    with open(server.folder / "damaged.log", "w+", encoding="utf-8") as log:
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=log)
        try:
            end = time.perf_counter() + 10
            while time.perf_counter() < end:
                if process.poll() is not None:
                    return process.returncode == 2
                log.seek(0)
                text = log.read()
                if "damaged" in text:
                    return True
                if "no damage" in text:
                    return False
                time.sleep(0.05)
            return False
        finally:
            process.kill()
            process.wait()
