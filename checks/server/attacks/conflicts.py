"""Conflicting edits and races for things on the shelf: of those who name one version one wins, and nothing is lost."""

from harness import together

EDITS = 500
CALLERS = 10
RACES = 15


def edits(server, name):
    job = server.job()
    path = f"/api/jobs/{job['id']}"
    won, refused = 0, 0
    for turn in range(EDITS // CALLERS):
        at = server.done("GET", path)
        answers = together(CALLERS, lambda k: server.edit(at, 100 * turn + k))
        statuses = sorted(a.status for a in answers)
        assert statuses == [200] + [409] * (CALLERS - 1), f"{name}: {statuses}"
        for answer in answers:
            if answer.status == 409:
                assert answer.error()["current"]["version"] == at["version"] + 1, answer.body
        won, refused = won + 1, refused + CALLERS - 1
    revisions = server.done("GET", f"{path}/revisions")["revisions"]
    assert len(revisions) == won + 1, f"{name}: {len(revisions)} revisions of {won} edits"
    assert [r["number"] for r in revisions] == list(range(won + 1, 0, -1))
    return refused


def bookings(server, name):
    """Two jobs whose plans use the same thing on the shelf: one of them gets it, time and again."""
    thing = {"od": 44.45, "wall": 1.65, "material": "304", "shape": {"kind": "straight", "length": 990.0}}
    server.done("POST", "/api/shelf", {"thing": thing, "label": "the only one"})
    jobs = [server.cut(server.routed(server.job())) for _ in range(2)]
    for race in range(RACES):
        book = lambda k: server.call("POST", f"/api/jobs/{jobs[k % 2]['id']}/bookings", {"version": jobs[k % 2]["version"]})
        answers = together(4, book)
        statuses = sorted(a.status for a in answers)
        assert statuses == [201, 409, 409, 409], f"{name}, race {race}: {statuses} {[a.body[:200] for a in answers]}"
        labels = [i["label"] for i in server.done("GET", "/api/shelf")["items"]]
        assert "the only one" not in labels, labels
        booking = next(a for a in answers if a.status == 201).json()["booking"]["id"]
        statuses = sorted(a.status for a in together(2, lambda _: server.call("DELETE", f"/api/bookings/{booking}")))
        assert statuses == [200, 404], f"{name}: {statuses}"
        labels = [i["label"] for i in server.done("GET", "/api/shelf")["items"]]
        assert labels == ["the only one"], labels
    # Several of one kind go onto the shelf all or none.
    together(2, lambda k: server.done("POST", "/api/shelf", {"thing": thing, "label": f"batch {k}", "count": 50}))
    labels = [i["label"] for i in server.done("GET", "/api/shelf")["items"]]
    assert (labels.count("batch 0"), labels.count("batch 1")) == (50, 50), labels
    return RACES


def on(server, name):
    refused, races = edits(server, name), bookings(server, name)
    assert server.instead("--check").returncode == 0
    return f"{refused} edits refused, {races} races"


def attack(ctx):
    return ctx.on_both(on)
