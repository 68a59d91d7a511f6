//! The server measured from the client's side: the release program over its standard streams, on
//! generated plans with findings in them.
//!
//! `cargo run --release -p ampwright-tests --bin protocol-bench` builds the program, measures, and
//! prints one table for each shape of plan, in milliseconds where nothing else is said: medians of
//! the runs, `=` where a promised limit is kept, `!` where it is missed, and the exponent by which each
//! figure grows from 1 000 lines up. `--quick` is one run without the idle time, `--sizes 100,1000`
//! and `--shape connected` take a part, `--runs N` more runs, `--soak [EDITS]` the memory over very
//! many edits instead, `--program PATH` another program.

mod machine;
mod measure;
mod report;
mod session;
mod soak;

use std::{
    path::{Path, PathBuf},
    process::{Command, ExitCode},
    time::Duration,
};

use measure::{Effort, Shape};
use session::Said;

const ROOT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/..");

/// What is asked for.
struct Asked {
    program: Option<PathBuf>,
    runs: usize,
    sizes: Vec<usize>,
    shapes: Vec<Shape>,
    idle: Duration,
    soak: Option<usize>,
}

fn main() -> ExitCode {
    match asked().and_then(|asked| run(&asked)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            println!("{why}");
            ExitCode::FAILURE
        }
    }
}

fn asked() -> Said<Asked> {
    let mut asked = Asked {
        program: None,
        runs: 5,
        sizes: vec![100, 1_000, 10_000, 100_000],
        shapes: vec![Shape::Connected, Shape::Fleet],
        idle: Duration::from_secs(15),
        soak: None,
    };
    let mut words = std::env::args().skip(1).peekable();
    while let Some(word) = words.next() {
        let mut value = || words.next().ok_or(format!("{word} wants a value"));
        match &*word {
            "--quick" => (asked.runs, asked.idle) = (1, Duration::ZERO),
            "--program" => asked.program = Some(value()?.into()),
            "--runs" => asked.runs = number(&value()?)?.max(1),
            "--sizes" => asked.sizes = value()?.split(',').map(number).collect::<Said<_>>()?,
            "--shape" => asked.shapes = vec![shape(&value()?)?],
            "--soak" => {
                let edits = words.next_if(|word| !word.starts_with('-'));
                asked.soak = Some(edits.map_or(Ok(1_000_000), |edits| number(&edits))?);
            }
            _ => {
                return Err(format!(
                    "{word} is not known; the head of this tool's main.rs says what is"
                ));
            }
        }
    }
    Ok(asked)
}

fn number(word: &str) -> Said<usize> {
    word.parse().map_err(|_| format!("{word} is no number"))
}

fn shape(word: &str) -> Said<Shape> {
    match word {
        "connected" => Ok(Shape::Connected),
        "fleet" => Ok(Shape::Fleet),
        _ => Err(format!("{word} is no shape: connected or fleet")),
    }
}

fn run(asked: &Asked) -> Said<()> {
    let program = match &asked.program {
        Some(program) => program.clone(),
        None => build()?,
    };
    if let Some(edits) = asked.soak {
        return soak::run(&program, edits);
    }
    println!("calibration loop {:.1} ms", machine::calibration());
    example(&program, asked.runs)?;
    for shape in &asked.shapes {
        let mut columns = Vec::new();
        for lines in &asked.sizes {
            columns.push((*lines, medians(&program, *shape, *lines, asked)?));
        }
        let title = match shape {
            Shape::Connected => "one plan, lines",
            Shape::Fleet => "a fleet in one workspace, lines",
        };
        report::print(title, &columns);
    }
    println!("\ncalibration loop {:.1} ms", machine::calibration());
    Ok(())
}

fn example(program: &Path, runs: usize) -> Said<()> {
    let folder = Path::new(ROOT).join("examples/curlew");
    let folder = folder.canonicalize().map_err(|error| error.to_string())?;
    let times = (0..runs.max(5)).map(|_| measure::start(program, &folder, "curlew.boat"));
    let median = measure::percentile(&mut times.collect::<Said<Vec<f64>>>()?, 50);
    let kept = if median < report::START_LIMIT {
        '='
    } else {
        '!'
    };
    println!("start to the first findings of examples/curlew {median:.2} ms {kept}");
    Ok(())
}

fn medians(program: &Path, shape: Shape, lines: usize, asked: &Asked) -> Said<measure::Figures> {
    let mut runs = Vec::new();
    for run in 0..asked.runs {
        let effort = Effort {
            // Once is enough: it is a rest, not a race.
            idle: if run == 0 { asked.idle } else { Duration::ZERO },
            repeats: (4_000_000 / lines.max(1)).clamp(40, 400),
        };
        runs.push(measure::all(program, shape, lines, effort)?);
    }
    Ok(report::medians(&runs))
}

/// Builds the release program and gives its path.
fn build() -> Said<PathBuf> {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let built = Command::new(cargo)
        .args(["build", "--release", "--locked", "--bin", "ampwright"])
        .current_dir(ROOT)
        .status();
    if !built.is_ok_and(|status| status.success()) {
        return Err("the program cannot be built".into());
    }
    // Beside this tool, wherever the build puts its results.
    let here = std::env::current_exe().map_err(|error| error.to_string())?;
    let program = here.with_file_name(format!("ampwright{}", std::env::consts::EXE_SUFFIX));
    Ok(program)
}
