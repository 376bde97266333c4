//! Tubewright: from points measured in an engine bay to routes, a cut plan and a price.

mod cli;
mod exit;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use cli::opened::JobArgs;

/// Keeps big pages of memory from one use to the next: a scan is read a third sooner than with the system's.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Routes header tubes past everything in the way, plans the cuts and prices the job
#[derive(Debug, Parser)]
#[command(name = "tubewright", version, about, max_term_width = 100)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

/// The commands, in the order of the work.
#[derive(Debug, Subcommand)]
enum Command {
    /// Write a commented starter job into a new folder
    New(cli::new::Args),
    /// Find places from tape readings and photos: adjust survey.toml
    Survey(cli::survey::Args),
    /// Check a job and list every error
    Check(JobArgs),
    /// Starting diameters and lengths by published rules, and the firing order
    Size(JobArgs),
    /// Route every tube
    Route(cli::route::Args),
    /// Torque and breathing over engine speed, computed from the gas in the routed tubes
    Gas(cli::gas::Args),
    /// Heat, growth, stress and vibration of the hot header
    Strength(cli::strength::Args),
    /// Split the routes into pieces and plan the cuts from the cheapest stock
    Cut(cli::cut::Args),
    /// Print an itemised quote
    Price(JobArgs),
    /// Print what the saw, the bench and the customer need
    #[command(alias = "papers")]
    Sheets(cli::sheets::Args),
    /// How far off each tube comes out; with readings of a build, what to change
    Fit(cli::fit::Args),
    /// Export solids, meshes, drawings and tables
    Export(cli::export::Args),
    /// Do all of it: route, cut, price, print and export into one folder
    Build(cli::build::Args),
    /// Start the browser interface
    Serve(cli::serve::Args),
    /// Print the JSON Schema of job.toml
    Schema(cli::schema::Args),
}

fn main() -> ExitCode {
    exit::catch_panics(|| match Cli::parse().command {
        Command::New(args) => exit::finish(cli::new::run(&args), args.json),
        Command::Survey(args) => exit::finish(cli::survey::run(&args), args.json),
        Command::Check(args) => exit::finish(cli::check::run(&args), args.json),
        Command::Size(args) => exit::finish(cli::size::run(&args), args.json),
        Command::Route(args) => exit::finish(cli::route::run(&args), args.search.job.json),
        Command::Gas(args) => exit::finish(cli::gas::run(&args), args.job.json),
        Command::Strength(args) => exit::finish(cli::strength::run(&args), args.job.json),
        Command::Cut(args) => exit::finish(cli::cut::run(&args), args.job.json),
        Command::Price(args) => exit::finish(cli::price::run(&args), args.json),
        Command::Sheets(args) => exit::finish(cli::sheets::run(&args), args.job.json),
        Command::Fit(args) => exit::finish(cli::fit::run(&args), args.job.json),
        Command::Export(args) => exit::finish(cli::export::run(&args), args.job.json),
        Command::Build(args) => exit::finish(cli::build::run(&args), args.search.job.json),
        Command::Serve(args) => exit::finish(cli::serve::run(&args), false),
        Command::Schema(args) => exit::finish(cli::schema::run(&args), false),
    })
}
