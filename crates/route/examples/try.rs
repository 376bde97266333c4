//! Scratch.
#[path = "../tests/families/mod.rs"]
mod families;
use route::problem::Problem;
use route::search::{drive::Settings, solve::solve};
use std::time::Instant;

fn main() {
    let effort: usize = std::env::args().nth(1).map_or(12, |s| s.parse().unwrap());
    let seeds: u64 = std::env::args().nth(2).map_or(5, |s| s.parse().unwrap());
    let only = std::env::args().nth(3);
    for variant in 0..3 {
        for (name, job) in [
            ("four", families::inline_four(variant)),
            ("v8", families::v8_bank(variant)),
            ("six", families::inline_six(variant)),
            ("turbo", families::turbo(variant)),
            ("421", families::four_two_one(variant)),
            ("twin", families::twin_turbo_entry(variant)),
            ("mov", families::movable(variant)),
            ("both", families::v8_both(variant)),
            ("wall", {
                let mut j = families::inline_four(variant);
                j.keepouts.push(job::model::Keepout {
                    name: "wall".into(),
                    shape: job::model::Shape::Box {
                        center: geom::Vec3::new(-300.0, 120.0, -200.0),
                        size: geom::Vec3::new(900.0, 20.0, 400.0),
                        axes: [geom::Vec3::X, geom::Vec3::Y, geom::Vec3::Z],
                    },
                    clearance: 10.0,
                    holds_ports: false,
                });
                j
            }),
            ("gaps", {
                let mut j = families::inline_four(variant);
                j.clearance.tubes = 60.0;
                j
            }),
            ("short", {
                let mut j = families::v8_bank(variant);
                j.primary.length.target = Some(560.0);
                j
            }),
            ("tight", {
                let mut j = families::inline_six(variant);
                j.primary.length.target = Some(690.0);
                j
            }),
            ("box", {
                let mut j = families::v8_bank(variant);
                j.keepouts.push(job::model::Keepout {
                    name: "wall".into(),
                    shape: job::model::Shape::Box {
                        center: geom::Vec3::new(-168.0, 130.0, -100.0),
                        size: geom::Vec3::new(600.0, 20.0, 900.0),
                        axes: [geom::Vec3::X, geom::Vec3::Y, geom::Vec3::Z],
                    },
                    clearance: 10.0,
                    holds_ports: false,
                });
                j
            }),
        ] {
            if only.as_ref().is_some_and(|o| o != name) {
                continue;
            }
            for seed in 0..seeds {
                if ["wall", "gaps", "short", "tight", "box"].contains(&name) {
                    let t = Instant::now();
                    let r =
                        route::route(&job, None, route::RouteSettings { seed, ..Default::default() }, &mut |_| true);
                    println!(
                        "{name}{variant} seed {seed} met {} in {:.2}s: {:?}",
                        r.met,
                        t.elapsed().as_secs_f64(),
                        r.unmet(&job).first().map(|m| m.to_string())
                    );
                    for x in &r.relaxations {
                        println!("      {} {} {:.1}", x.change, x.met, x.left);
                    }
                    continue;
                }
                let t = Instant::now();
                let problem = Problem::new(&job, &[]);
                let mut log = Vec::new();
                let settings = Settings { seed, effort, rounds: 6, pools: 2, draw_nearest: true, room: 0.0 };
                let job = job.clone();
                let out = solve(&problem, None, settings, &mut |c| {
                    log.push((t.elapsed().as_secs_f64(), c.score));
                    true
                });
                if out.answers.is_empty() {
                    println!("{name}{variant}: none; blocked {:?} assignable {}", out.blocked, out.assignable);
                    for (r, run) in problem.runs.iter().enumerate() {
                        println!("  {r} {} ends {} clrs {:?}", run.id, run.ends.len(), run.clrs);
                    }
                    continue;
                }
                let first = log.first().copied().unwrap_or((9.9, 99.0));
                let all = t.elapsed().as_secs_f64();
                let t = Instant::now();
                let again =
                    solve(&problem, Some(&out.answers[0].routes), Settings { effort: 0, ..settings }, &mut |_| true);
                println!(
                    "{name}{variant} seed {seed}: {} first {:.3}s {:.2}  final {:.3} answers {} miss {:?} in {:.2}s again {} {:.1}ms| {}",
                    out.met,
                    first.0,
                    first.1,
                    out.answers[0].score,
                    out.answers.len(),
                    out.miss,
                    all,
                    again.met,
                    t.elapsed().as_secs_f64() * 1e3,
                    log.iter()
                        .step_by(1 + log.len() / 6)
                        .map(|l| format!("{:.1}:{:.2}", l.0, l.1))
                        .collect::<Vec<_>>()
                        .join(" ")
                );
            }
        }
    }
}
