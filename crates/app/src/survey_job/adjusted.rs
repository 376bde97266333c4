//! From the file of a survey to the adjustment of its readings.

use job::survey::{Side, SurveyFile, TOOLS, Tool};
use job::{Problem, Problems};
use survey::tape::frame::{Frame, Upright};
use survey::tape::network::{Kind, Network, Reading};
use survey::tape::rounding;
use survey::tape::search::SearchSettings;
use survey::tape::survey::{Answer, Input, SurveyError, survey};

/// Adjusts the readings of a survey.
///
/// # Errors
/// Why its axes cannot be laid.
pub fn tape(file: &SurveyFile, shown: &str) -> Result<Answer, Problems> {
    let input = Input {
        network: Network::new(file.names.len(), readings(file)),
        frame: frame(file),
        side: match file.frame.side {
            Some(Side::Point(p, left)) => Some((p, left)),
            _ => None,
        },
        tape_sd: file.sd_of(Tool::Tape),
        search: SearchSettings::default(),
    };
    survey(&input).map_err(|error| no_answer(error, file, shown))
}

/// The readings with their standard deviations, rounding of each tool included.
pub fn readings(file: &SurveyFile) -> Vec<Reading> {
    let step = |tool: Tool| {
        if matches!(tool, Tool::Incline | Tool::Flush | Tool::Row) {
            return 0.0;
        }
        rounding::step(&file.readings.iter().filter(|r| r.tool == tool).map(|r| r.read).collect::<Vec<f64>>())
    };
    let sd = TOOLS.map(|tool| rounding::with_rounding(file.sd_of(tool), step(tool)));
    let sd_of = |tool: Tool| TOOLS.iter().position(|t| *t == tool).map_or(1.0, |i| sd[i]);
    let reading = |r: &job::survey::Reading| {
        let p = &r.points;
        let kind = match r.tool {
            Tool::Height => Kind::Height([p[0], p[1]]),
            Tool::Incline => Kind::Incline([p[0], p[1]]),
            Tool::Flush => Kind::Flush([p[0], p[1], p[2], p[3]]),
            Tool::Row => Kind::Row([p[0], p[1], p[2], p[3]]),
            _ => Kind::Distance([p[0], p[1]]),
        };
        Reading { kind, value: r.value, sd: sd_of(r.tool) }
    };
    file.readings.iter().map(reading).collect()
}

fn frame(file: &SurveyFile) -> Frame {
    let upright = match file.frame.upright {
        Some((p, true)) => Upright::Down(p),
        Some((p, false)) => Upright::Up(p),
        None => Upright::Gravity,
    };
    Frame { origin: file.frame.origin, forward: file.frame.forward, upright }
}

fn no_answer(error: SurveyError, file: &SurveyFile, shown: &str) -> Problems {
    let message = match error {
        SurveyError::NoAxes => "the points of [frame] lie in one line",
        SurveyError::Diverged => "the readings do not fit together at all",
    };
    let problem = Problem::error("no-axes", message).in_file(shown);
    let problem = problem.expected("axes from three points that are well apart, each measured to three others or more");
    let names: Vec<&str> = file.frame.forward.iter().map(|p| file.names[*p].as_str()).collect();
    Problems::one(
        problem
            .hint(format!("choose a point for `down` that is 200 mm or more off the line of {}", names.join(" and "))),
    )
}
