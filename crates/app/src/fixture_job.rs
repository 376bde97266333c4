//! The fixture of a job: plates to cut or print, the whole as a STEP file, and what it costs.

use cutplan::CutJob;
use export::mesh::Triangles;
use export::name::Names;
use export::solid::{Form, Group, Solid};
use export::table::{Cell, Table};
use export::{Body, Header, dxf, step, stl};
use geom::{Frame, Vec3};
use job::model::{Job, Port};
use job::rates::{Origin, Rates};
use job::routes::{Routes, RunId};
use job::show;
use route::fixture::{Carries, Stands, Wanted, stands};
use route::jig::{Setup, jig, ports_by_face};
use template::fixture::{FixturePlate, Seat, plates, seats};
use template::header::placed;

use crate::export_work::{ExportSettings, Made, Work};

/// The files of a fixture, one for each bank, or why the job has none.
pub(crate) fn fixture(work: &Work<'_>, settings: &ExportSettings, base: &str) -> Result<Made, String> {
    let banks = banks(work.job, work.routes);
    match banks.len() {
        0 => return Err("a fixture needs flanges, and the job has no port".into()),
        1 => return fixture_of_bank(work, settings, base, "fixture"),
        _ => {}
    }
    let mut made = Made { files: Vec::new(), warnings: Vec::new() };
    for Bank { name, job, routes } in &banks {
        let own = Work { job, routes, ..*work };
        let bank = fixture_of_bank(&own, settings, &format!("{base}-{name}"), &format!("fixture/{name}"))
            .map_err(|why| format!("{name}: {why}"))?;
        made.files.extend(bank.files);
        made.warnings.extend(bank.warnings.into_iter().map(|w| format!("{name}: {w}")));
    }
    Ok(made)
}

/// Ports whose flanges look one way, with what is built on them alone.
struct Bank {
    /// Of its cylinders: `bank-1-3-5`.
    name: String,
    job: Job,
    routes: Routes,
}

/// The banks of a job. A collector that runs of two banks enter belongs to neither fixture: it is fitted on the vehicle.
fn banks(job: &Job, routes: &Routes) -> Vec<Bank> {
    let bank = |ports: Vec<Port>| {
        let cylinders: Vec<String> = ports.iter().map(|p| p.cylinder.to_string()).collect();
        let mut own = Job { ports, ..job.clone() };
        let mut kept = routes.clone();
        // Down from the ports: first what starts there, then what only that leads to.
        let started = |job: &Job, run: &RunId| match run {
            RunId::Primary { cylinder } => job.ports.iter().any(|p| p.cylinder == *cylinder),
            RunId::Secondary { from } | RunId::Tail { from } => job.collectors.iter().any(|c| c.name == *from),
        };
        for _ in 0..3 {
            let here = |name: &str| {
                routes.runs.iter().filter(|r| r.collector == name).all(|r| started(&own, &r.run))
                    && kept.runs.iter().any(|r| r.collector == name)
            };
            let collectors = own.collectors.iter().filter(|c| here(&c.name)).cloned().collect();
            own.collectors = collectors;
            kept.runs.retain(|r| started(&own, &r.run));
        }
        Bank { name: format!("bank-{}", cylinders.join("-")), job: own, routes: kept }
    };
    ports_by_face(job).into_iter().map(bank).collect()
}

/// The files of the fixture of one bank, in `folder`.
fn fixture_of_bank(work: &Work<'_>, settings: &ExportSettings, base: &str, folder: &str) -> Result<Made, String> {
    let Work { job, routes, beside, .. } = *work;
    let jig = jig(job, routes, Setup::FlangeDown).map_err(|_| "the routes are no tubes of the job".to_string())?;
    let flanges: Vec<_> = placed(job, &beside.details).into_iter().filter_map(|(_, f)| f.ok()).collect();
    let (seats, tilted) = seats(&jig, &flanges);
    let posts: Vec<_> = seats.iter().map(Seat::post).collect();
    let pieces = pieces(work);
    let stretches: Vec<Vec<[f64; 2]>> = pieces.iter().map(|p| p.iter().map(|(_, s)| *s).collect()).collect();
    let sheet = settings.fixture;
    let wanted = Wanted { pieces: &stretches, sheet: sheet.thickness, posts: &posts };
    let stands = stands(job, routes, &jig, &wanted).map_err(|_| "the routes are no tubes of the job".to_string())?;
    if stands.saddles.is_empty() {
        return Err("no place was found for a saddle: every tube is too steep over the table, or hemmed in".into());
    }
    let labels = labels(work, &stands, &pieces);
    let plates = plates(&jig, &stands, &seats, &labels, &sheet);
    let (printed, notes) = to_print(&plates, settings);
    let files = files(work, settings, [base, folder], [&plates, &printed]);
    let mut made = Made { files, warnings: Vec::new() };
    made.files.push((format!("{folder}/{base}-fixture.csv"), priced(work, &plates, &stands, &labels).csv().into()));
    made.warnings = warnings(work, &stands, &pieces, &seats, &tilted);
    made.warnings.extend(bridges(&stands, &labels));
    made.warnings.extend(notes);
    made.warnings.push(cost(work.rates, &plates));
    Ok(made)
}

/// The mark of a piece and its stretch of the run, mm.
type Marked = (String, [f64; 2]);

/// Marks and stretches of the pieces of each run; of a run that is not cut, its thirds.
fn pieces(work: &Work<'_>) -> Vec<Vec<Marked>> {
    let cut_job = CutJob::of(work.job);
    let numbers = cutplan::run_numbers(work.routes.runs.iter().map(|r| &r.run), cut_job.cylinders);
    let of_run = |(k, route): (usize, &job::routes::Route)| {
        let cut = work.plan.into_iter().flat_map(|p| &p.pieces).filter(|p| p.run == route.run);
        let pieces: Vec<Marked> = cut.map(|p| (p.mark.clone(), [p.from, p.to])).collect();
        if !pieces.is_empty() {
            return pieces;
        }
        let from = cut_job.start_of(&route.run);
        let length = route.centreline().map_or(0.0, |line| line.length());
        let third = (length - from) / 3.0;
        (0..3)
            .map(|i| (format!("{}-{}", numbers[k], i + 1), [from + third * i as f64, from + third * (i + 1) as f64]))
            .collect()
    };
    work.routes.runs.iter().enumerate().map(of_run).collect()
}

fn labels(work: &Work<'_>, stands: &Stands, pieces: &[Vec<Marked>]) -> Vec<String> {
    let label = |carries: Carries| match carries {
        Carries::Run { run, station } => {
            let piece = pieces[run].iter().find(|(_, s)| (s[0]..=s[1]).contains(&station));
            piece.map_or_else(String::new, |(mark, _)| mark.clone())
        }
        Carries::Collector(index) => work.job.collectors.get(index).map_or_else(String::new, |c| c.name.clone()),
    };
    stands.saddles.iter().map(|s| label(s.carries)).collect()
}

/// Plates as drawings for a laser and as meshes for a printer, and all of them in their places.
fn files(
    work: &Work<'_>,
    settings: &ExportSettings,
    [base, folder]: [&str; 2],
    [plates, printed]: [&[FixturePlate]; 2],
) -> Vec<(String, Vec<u8>)> {
    let sheet = settings.fixture;
    let mut files = Vec::new();
    let mut names = Names::default();
    let mut solids = Vec::new();
    for plate in plates {
        let name = names.unique(&plate.name);
        let drawing = plate.drawing(&sheet, work.units);
        files.push((format!("{folder}/dxf/{name}.dxf"), dxf::dxf(&drawing, work.units).into()));
        let form = Form::Plate { frame: plate.frame, thickness: sheet.thickness, outlines: plate.outlines.clone() };
        solids.push(Solid { name: plate.name.clone(), form });
    }
    let mut names = Names::default();
    for plate in printed {
        let name = names.unique(&plate.name);
        // Flat on the bed, seen as in its drawing.
        let flat = Frame { origin: Vec3::Z * sheet.thickness, forward: -Vec3::Z, up: Vec3::Y };
        let form = Form::Plate { frame: flat, thickness: sheet.thickness, outlines: plate.outlines.clone() };
        let mesh: Triangles = Solid { name: name.clone(), form }.mesh(settings.tolerance);
        if let Ok(bytes) = stl::stl(&[mesh]) {
            files.push((format!("{folder}/stl/{name}.stl"), bytes));
        }
    }
    let groups = vec![Group { name: "fixture".into(), solids }];
    let header = Header { name: format!("{} fixture", work.job.name), runs: Vec::new(), groups };
    let text = step::step(&header, Body::Solid, &settings.date);
    files.push((format!("{folder}/{base}-fixture.step"), text.into()));
    files
}

/// Plates with their sizes, what they carry and where, and the price of sheet and cutting.
fn priced(work: &Work<'_>, plates: &[FixturePlate], stands: &Stands, labels: &[String]) -> Table {
    let (units, rates) = (work.units, work.rates);
    let unit = show::unit(units);
    let [width, height, cut, along] = ["width", "height", "cut", "along"].map(|what| format!("{what} {unit}"));
    let money = format!("price {}", rates.currency);
    let mut table = Table::new("fixture", &["plate", &width, &height, &cut, "carries", &along, "minutes", &money]);
    let length = |mm: f64| Cell::Number(mm / units.in_mm(), if units.in_mm() > 1.0 { 3 } else { 1 });
    for plate in plates {
        let [low, high] = plate.bounds();
        let size = high - low;
        let [time, cost] = minutes_and_price(rates, plate);
        let carried = labels.iter().position(|l| *l == plate.name).map(|i| stands.saddles[i].carries);
        let (what, station) = match carried {
            Some(Carries::Run { run, station }) => (Cell::from(work.routes.runs[run].run.to_string()), length(station)),
            Some(Carries::Collector(_)) => (Cell::from("collector"), Cell::Blank),
            None => (Cell::Blank, Cell::Blank),
        };
        let name = Cell::from(plate.name.as_str());
        let [time, cost] = [time, cost].map(|v| Cell::Number(v, 2));
        table.rows.push(vec![
            name,
            length(size.x),
            length(size.y),
            length(plate.cut_length()),
            what,
            station,
            time,
            cost,
        ]);
    }
    let [time, cost] = sum_of(rates, plates).map(|v| Cell::Number(v, 2));
    let cut = length(plates.iter().map(FixturePlate::cut_length).sum());
    table.rows.push(vec!["sum".into(), Cell::Blank, Cell::Blank, cut, Cell::Blank, Cell::Blank, time, cost]);
    table
}

/// Minutes at the laser and the price of sheet and cutting of a plate.
fn minutes_and_price(rates: &Rates, plate: &FixturePlate) -> [f64; 2] {
    let price = |key: &str| rates.price(key).price.units();
    let [low, high] = plate.bounds();
    let size = high - low;
    let minutes = plate.cut_length() / rates.time("laser_mm_per_min").value;
    [minutes, size.x * size.y * 1e-6 * price("fixture_sheet_per_m2") + minutes * price("laser_per_minute")]
}

/// The same of all plates.
fn sum_of(rates: &Rates, plates: &[FixturePlate]) -> [f64; 2] {
    plates.iter().map(|p| minutes_and_price(rates, p)).fold([0.0; 2], |[a, b], [c, d]| [a + c, b + d])
}

/// What the fixture costs, in a sentence.
fn cost(rates: &Rates, plates: &[FixturePlate]) -> String {
    let [minutes, price] = sum_of(rates, plates);
    let sum = format!(
        "sheet and cutting of the fixture come to {price:.2} {}, with {minutes:.0} minutes at the laser",
        rates.currency
    );
    if rates.price("fixture_sheet_per_m2").origin == Origin::Invented {
        return sum + "; the rates are invented: set fixture_sheet_per_m2 and laser_per_minute in stock.toml";
    }
    sum
}

/// How the header comes off the plates that stand over one of its tubes.
fn bridges(stands: &Stands, labels: &[String]) -> Vec<String> {
    let named = |from_above: bool| -> Option<String> {
        let over = stands.saddles.iter().zip(labels);
        let over = over.filter(|(s, _)| s.plate.opening.is_some() && s.from_above == from_above);
        let names: Vec<&str> = over.map(|(_, label)| label.as_str()).collect();
        (!names.is_empty()).then(|| names.join(", "))
    };
    let bridges = named(false).map(|names| {
        format!("bridges over a lower tube: {names}; they come up with the header, then draw them off downward")
    });
    let yokes = named(true).map(|names| {
        format!("yokes from above: {names}; put them on when the header lies in its saddles, and take them off first")
    });
    bridges.into_iter().chain(yokes).collect()
}

/// The two sides of a printer's bed, mm.
fn bed_of(settings: &ExportSettings) -> [f64; 2] {
    let [x, y, _] = settings.bed;
    [x, y]
}

/// The plates as they are printed, those that are too large for the bed in parts with one key, and what to know of that.
fn to_print(plates: &[FixturePlate], settings: &ExportSettings) -> (Vec<FixturePlate>, Vec<String>) {
    let bed @ [x, y] = bed_of(settings);
    let (mut out, mut whole, mut parts) = (Vec::new(), Vec::new(), Vec::new());
    let (mut keys, mut key) = (0, None);
    for plate in plates {
        match plate.split(bed) {
            Some(split) if split.keys > 0 => {
                parts.push(format!("{} ({} parts)", plate.name, split.parts.len()));
                out.extend(split.parts);
                keys += split.keys;
                key = Some(plate.key(settings.fixture.play));
            }
            split => {
                whole.extend(split.is_none().then_some(plate.name.as_str()));
                out.push(plate.clone());
            }
        }
    }
    out.extend(key);
    let mut notes = Vec::new();
    if keys > 0 {
        let parts = parts.join(", ");
        notes.push(format!("for a printer's bed of {x} x {y} mm these are in parts: {parts}; print key.stl {keys} times and glue the keys in"));
    }
    if !whole.is_empty() {
        let names = whole.join(", ");
        notes.push(format!(
            "too large for a printer's bed of {x} x {y} mm: {names}; cut them from sheet (DXF), or give a larger --bed"
        ));
    }
    (out, notes)
}

/// What a person should know before cutting the plates.
fn warnings(
    work: &Work<'_>,
    stands: &Stands,
    pieces: &[Vec<Marked>],
    seats: &[Seat],
    tilted: &[String],
) -> Vec<String> {
    let mut out = Vec::new();
    let bare: Vec<&str> = stands.bare.iter().map(|(run, k)| pieces[*run][*k].0.as_str()).collect();
    if !bare.is_empty() {
        out.push(format!(
            "the fixture carries no saddle under {}: too steep, too near a joint for a torch, or over another tube; hold them by their neighbours",
            bare.join(", ")
        ));
    }
    for index in &stands.bare_collectors {
        let name = work.job.collectors.get(*index).map_or("", |c| c.name.as_str());
        out.push(format!("the fixture does not carry collector {name}: it is too steep over the table, or hemmed in"));
    }
    for index in &stands.blocked {
        out.push(format!("a tube passes under flange {}: lift the header off that shelf sideways", seats[*index].name));
    }
    if !tilted.is_empty() {
        out.push(format!("the fixture does not carry flange {}: it does not lie flat on the table", tilted.join(", ")));
    }
    out
}
