//! Builds the page in web/ and puts its files, and the examples' scan, compressed where the server embeds them.
//!
//! Without npm, or with `TUBEWRIGHT_NO_PAGE=1`, the page is left out: the server then has its calls alone.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

use flate2::Compression;
use flate2::write::GzEncoder;

/// What the page is made of; what is made of it must not be watched.
const WATCHED: [&str; 9] = [
    "src",
    "public",
    "index.html",
    "package.json",
    "package-lock.json",
    "vite.config.ts",
    "svelte.config.js",
    "tsconfig.json",
    "../docs/job.schema.json",
];

fn main() {
    let out = PathBuf::from(std::env::var_os("OUT_DIR").expect("cargo sets OUT_DIR"));
    let page = out.join("page");
    let web = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../web");
    println!("cargo::rerun-if-env-changed=TUBEWRIGHT_NO_PAGE");
    for name in WATCHED {
        println!("cargo::rerun-if-changed={}", web.join(name).display());
    }
    let scan = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/jet-boat-bank/hull-side.ply");
    println!("cargo::rerun-if-changed={}", scan.display());
    pack(&scan, &out.join("hull-side.ply")).expect("the example's scan can be read");
    // The files of an earlier build are no part of this one.
    let _ = fs::remove_dir_all(&page);
    fs::create_dir_all(&page).expect("OUT_DIR can be written");
    let wanted = std::env::var_os("TUBEWRIGHT_NO_PAGE").is_none_or(|v| v.is_empty() || v == "0");
    if !wanted || !web.join("package.json").is_file() {
        return;
    }
    if !has_npm() {
        println!(
            "cargo::warning=npm is missing (Debian: apt-get install npm): building without the page for the browser"
        );
        // A file that never exists: looks for npm again at the next build.
        println!("cargo::rerun-if-changed={}", out.join("npm-was-missing").display());
    } else if let Err(why) = build(&web, &out, &page) {
        println!("cargo::error=the page in web/ cannot be built: {why}");
    }
}

const NPM: &str = if cfg!(windows) { "npm.cmd" } else { "npm" };

fn has_npm() -> bool {
    Command::new(NPM).arg("--version").output().is_ok_and(|answer| answer.status.success())
}

fn build(web: &Path, out: &Path, page: &Path) -> Result<(), String> {
    let lock = fs::read(web.join("package-lock.json")).map_err(|e| format!("web/package-lock.json: {e}"))?;
    let stamp = out.join("installed-lock.json");
    if !web.join("node_modules").is_dir() || fs::read(&stamp).ok().as_ref() != Some(&lock) {
        npm(web, &["ci", "--no-audit", "--no-fund"])?;
        fs::write(&stamp, &lock).map_err(|e| format!("{}: {e}", stamp.display()))?;
    }
    npm(web, &["run", "build"])?;
    pack_all(&web.join("dist"), page).map_err(|e| format!("web/dist: {e}"))
}

fn npm(web: &Path, words: &[&str]) -> Result<(), String> {
    let done = Command::new(NPM).args(words).current_dir(web).output().map_err(|e| format!("npm: {e}"))?;
    if done.status.success() {
        return Ok(());
    }
    let said = [done.stdout, done.stderr].map(|s| String::from_utf8_lossy(&s).into_owned()).join("\n");
    let last: Vec<&str> = said.lines().filter(|l| !l.trim().is_empty()).rev().take(12).collect();
    let last: Vec<&str> = last.into_iter().rev().collect();
    Err(format!("npm {} failed: {}", words.join(" "), last.join(" | ")))
}

/// Writes all files of a folder compressed into another.
fn pack_all(from: &Path, to: &Path) -> std::io::Result<()> {
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        let target = to.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            pack_all(&entry.path(), &target)?;
        } else {
            pack(&entry.path(), &target)?;
        }
    }
    Ok(())
}

/// Writes a file compressed (gzip), with `.gz` behind its name.
fn pack(from: &Path, to: &Path) -> std::io::Result<()> {
    let mut packed = GzEncoder::new(Vec::new(), Compression::best());
    packed.write_all(&fs::read(from)?)?;
    let mut name = to.as_os_str().to_owned();
    name.push(".gz");
    fs::write(name, packed.finish()?)
}
