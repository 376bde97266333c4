//! Surveys that are drawn at random, adjusted, and held against their truth:
//! `simulate [first seed] [count] [each] [levels] [inches]`.

#[path = "../tests/bay/mod.rs"]
mod bay;

use bay::{Plan, bay};
use survey::tape::survey::survey;

#[derive(Default)]
struct Tally {
    big: [usize; 2],
    all: [usize; 2],
    clean: usize,
    false_clean: usize,
    false_all: usize,
    rivals: [usize; 3],
    unsaid: Vec<u64>,
    missed: Vec<(u64, f64, f64)>,
    z2: f64,
    zn: usize,
    worst_ms: f64,
    total_ms: f64,
    jobs: usize,
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let number = |i: usize, default: u64| args.get(i).and_then(|a| a.parse().ok()).unwrap_or(default);
    let (first, count) = (number(0, 1), number(1, 300));
    let each = number(2, 5) as usize;
    let has = |word: &str| args.iter().any(|a| a == word);
    let mut t = Tally::default();
    for seed in first..first + count {
        let plan = Plan { each, levels: has("levels"), inches: has("inches"), slips: (seed % 3) as usize };
        one(seed, plan, &mut t);
    }
    let share = |[hit, of]: [usize; 2]| format!("{hit}/{of} ({:.1} %)", 100.0 * hit as f64 / of.max(1) as f64);
    println!("slips named {}; of 10 mm or more {}", share(t.all), share(t.big));
    println!(
        "clean jobs with a false alarm {}; false alarms in all jobs {}",
        share([t.false_clean, t.clean]),
        t.false_all
    );
    println!("jobs with rivals (0, 1, 2 slips): {:?}; wrong and unsaid: {:?}", t.rivals, t.unsaid);
    println!(
        "z rms {:.3}; ms a job {:.1}, worst {:.1}",
        (t.z2 / t.zn as f64).sqrt(),
        t.total_ms / t.jobs as f64,
        t.worst_ms
    );
    println!("missed of 10 mm or more (seed, size, redundancy): {:?}", t.missed);
}

fn one(seed: u64, plan: Plan, t: &mut Tally) {
    let bay = bay(seed, plan);
    let began = std::time::Instant::now();
    let answer = survey(&bay.input).expect("an answer");
    let ms = began.elapsed().as_secs_f64() * 1e3;
    t.worst_ms = t.worst_ms.max(ms);
    t.total_ms += ms;
    t.jobs += 1;
    for (i, size) in &bay.slips {
        let named = answer.slips.iter().any(|s| s.reading == *i);
        t.all[1] += 1;
        t.all[0] += usize::from(named);
        if size.abs() >= 9.9 {
            t.big[1] += 1;
            t.big[0] += usize::from(named);
            if !named {
                t.missed.push((seed, *size, (answer.checked[*i] * 100.0).round() / 100.0));
            }
        }
    }
    let wrong = answer.slips.iter().filter(|s| bay.slips.iter().all(|b| b.0 != s.reading)).count();
    t.false_all += wrong;
    if bay.slips.is_empty() {
        t.clean += 1;
        t.false_clean += usize::from(wrong > 0);
    }
    t.rivals[bay.slips.len()] += usize::from(!answer.rivals.is_empty());
    let error = |p: usize| answer.at[p] - bay.truth[p];
    let fixed: Vec<usize> = (0..bay.truth.len()).filter(|p| !answer.unfixed.contains(p)).collect();
    let far = fixed.iter().any(|p| error(*p).abs().max_element() > 15.0);
    if far && answer.is_settled() {
        t.unsaid.push(seed);
    }
    if answer.is_settled() && !far {
        for p in fixed {
            for (e, sd) in error(p).to_array().into_iter().zip(answer.sd(p).to_array()) {
                if sd > 0.01 {
                    t.z2 += (e / sd).powi(2);
                    t.zn += 1;
                }
            }
        }
    }
}
