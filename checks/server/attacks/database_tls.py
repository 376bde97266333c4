"""TLS to PostgreSQL: `sslmode=require`, `verify-ca` with the right and a wrong certificate, and none where it is refused."""

import shutil
import subprocess

from harness import Postgres, Skipped


def certificate(folder, name):
    key, file = folder / f"{name}.key", folder / f"{name}.pem"
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", "/CN=localhost"]
        + ["-addext", "subjectAltName=DNS:localhost,IP:127.0.0.1", "-keyout", key, "-out", file],
        check=True,
        capture_output=True,
    )
    return key, file


def attack(ctx):
    if not shutil.which("openssl"):
        raise Skipped("openssl is needed to make a certificate (Debian: apt-get install openssl)")
    key, file = certificate(ctx.folder, "database")
    _, wrong = certificate(ctx.folder, "other")
    with Postgres(ctx.folder) as postgres:
        for source, name in ((key, "server.key"), (file, "server.crt")):
            target = postgres.folder / "data" / name
            shutil.copy(source, target)
            if target.owner() != postgres.folder.owner():
                shutil.chown(target, "postgres", "postgres")
            target.chmod(0o600)
        # Nobody gets in by TCP without TLS.
        rules = "local all all trust\nhostssl all all 127.0.0.1/32 trust\n"
        (postgres.folder / "data" / "pg_hba.conf").write_text(rules)
        postgres.settings.append("ssl=on")
        postgres.stop()
        postgres.start()
        url = postgres.database()
        for mode in ("sslmode=require", f"sslmode=verify-ca&sslrootcert={file}", f"sslmode=verify-full&sslrootcert={file}"):
            with ctx.server("tls", database=f"{url}?{mode}") as server:
                assert server.edit(server.job(), 1).status == 200, mode
                used = postgres.sql(f"{url}?sslmode=require", "SELECT bool_and(ssl) FROM pg_stat_ssl JOIN pg_stat_activity USING (pid) "
                                    "WHERE client_addr IS NOT NULL")
                assert used.strip() == "t", used
        for mode, why in ((f"sslmode=verify-ca&sslrootcert={wrong}", "TLS"), ("sslmode=disable", "cannot be reached")):
            refused = ctx.server("refused", database=f"{url}?{mode}").instead("--check")
            assert refused.returncode == 2 and why in refused.stderr, f"{mode}: {refused.stderr}"
    return "require, verify-ca, verify-full; a wrong certificate and plain text are refused"
