"""TLS to PostgreSQL: `sslmode=require`, `verify-ca` with the right and a wrong certificate, and none where it is refused."""

import shutil
import subprocess

from harness import Postgres, Skipped


def openssl(*arguments):
    subprocess.run(["openssl", *map(str, arguments)], check=True, capture_output=True)


def authority(folder, name):
    """Key and certificate of a shop's own certificate authority."""
    key, file = folder / f"{name}.key", folder / f"{name}.pem"
    openssl("req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", f"/CN={name}", "-keyout", key, "-out", file)
    return key, file


def certificate(folder, signer):
    """Key and certificate of the database, signed by an authority."""
    key, request, file, more = (folder / f"database.{ending}" for ending in ("key", "csr", "pem", "ext"))
    more.write_text("subjectAltName=DNS:localhost,IP:127.0.0.1\nbasicConstraints=critical,CA:FALSE\n")
    openssl("req", "-newkey", "rsa:2048", "-nodes", "-subj", "/CN=localhost", "-keyout", key, "-out", request)
    signing = ["-CAkey", signer[0], "-CA", signer[1], "-CAcreateserial", "-days", "2", "-extfile", more]
    openssl("x509", "-req", "-in", request, "-out", file, *signing)
    return key, file


def attack(ctx):
    if not shutil.which("openssl"):
        raise Skipped("openssl is needed to make a certificate (Debian: apt-get install openssl)")
    shop = authority(ctx.folder, "shop")
    right, wrong = shop[1], authority(ctx.folder, "other")[1]
    key, file = certificate(ctx.folder, shop)
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
        for mode in ("sslmode=require", f"sslmode=verify-ca&sslrootcert={right}", f"sslmode=verify-full&sslrootcert={right}"):
            with ctx.server("tls", database=f"{url}?{mode}") as server:
                assert server.edit(server.job(), 1).status == 200, mode
                used = postgres.sql(f"{url}?sslmode=require", "SELECT bool_and(ssl) FROM pg_stat_ssl JOIN pg_stat_activity USING (pid) "
                                    "WHERE client_addr IS NOT NULL")
                assert used.strip() == "t", used
        for mode, why in ((f"sslmode=verify-ca&sslrootcert={wrong}", "certificate"), ("sslmode=disable", "cannot be reached")):
            refused = ctx.server("refused", database=f"{url}?{mode}").instead("--check")
            assert refused.returncode == 2 and why in refused.stderr, f"{mode}: {refused.stderr}"
    return "require, verify-ca, verify-full; a wrong certificate and plain text are refused"
