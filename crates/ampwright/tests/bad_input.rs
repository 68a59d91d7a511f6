//! Input that no writer meant: never a crash, never a hang, never silence, never the whole memory.
#![allow(clippy::expect_used, reason = "a test that cannot begin has failed")]

mod support;

use std::{
    fmt::Write,
    process::{Child, Stdio},
    time::{Duration, Instant},
};

use support::{Folder, code, program};

/// Long past anything but a hang, on the slowest machine.
const HANG: Duration = Duration::from_mins(5);

/// Runs `check` on one file and gives its exit code and its output, with the most memory that it
/// was seen to take, KiB.
fn checked(folder: &Folder, file: &str) -> (i32, String, u64) {
    let child = program(&folder.path())
        .args(["check", "--format", "plain", file])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it runs");
    let id = child.id();
    let watch = std::thread::spawn(move || watched(id));
    let output = waited(child);
    let peak = watch.join().expect("watched");
    let text = String::from_utf8(output.stdout.clone()).expect("text")
        + &String::from_utf8_lossy(&output.stderr);
    (code(&output), text, peak)
}

fn waited(child: Child) -> std::process::Output {
    let (send, receive) = std::sync::mpsc::channel();
    let id = child.id();
    std::thread::spawn(move || send.send(child.wait_with_output()));
    let Ok(output) = receive.recv_timeout(HANG) else {
        // Process ids are reused only after the wait that has not come.
        let _ = std::process::Command::new("kill")
            .args(["-9", &id.to_string()])
            .status();
        panic!("it hangs");
    };
    output.expect("an output")
}

/// The largest resident size of a process until it ends, KiB; 0 where the system does not say.
fn watched(id: u32) -> u64 {
    let mut peak = 0;
    let start = Instant::now();
    while let Ok(status) = std::fs::read_to_string(format!("/proc/{id}/status")) {
        let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let Some(size) = line.and_then(|line| line.split_whitespace().next()?.parse().ok()) else {
            break; // it has ended and waits to be collected
        };
        peak = peak.max(size);
        if start.elapsed() > HANG {
            break;
        }
        std::thread::sleep(Duration::from_micros(200));
    }
    peak
}

/// Checks a text; it must be read, and must not pass as sound.
#[track_caller]
fn found(text: &str, code_word: &str) -> String {
    let folder = Folder::with(&[("a.boat", text)]);
    let (code, told, _) = checked(&folder, "a.boat");
    assert_eq!(code, 1, "{}", &told[..told.len().min(2000)]);
    assert!(
        told.contains(&format!("[{code_word}]")),
        "{}",
        &told[..told.len().min(2000)]
    );
    told
}

/// Checks bytes that cannot be read as a plan at all.
#[track_caller]
fn refused(bytes: &[u8], because: &str) {
    let folder = Folder::new();
    folder.write("a.boat", bytes);
    let (code, told, _) = checked(&folder, "a.boat");
    assert_eq!(code, 2, "{told}");
    assert!(told.contains(because), "{told}");
}

const POWER: &str = "boat b\n    system 12 V\nbattery h agm 100 Ah\nfuse f blade 10 A\n";

#[test]
fn nothing_at_all() {
    found("", "missing-fact");
    found("\n\n# a comment\n", "missing-fact");
    found("\u{feff}", "missing-fact");
}

#[test]
fn bytes_that_are_no_text() {
    refused(
        &[0, 159, 146, 150],
        "not UTF-8 text: the first wrong byte is number 2",
    );
    refused(b"boat b\n    system 12 V\nload x\xff\n", "number 30");
    // Text of a kind, at least.
    found("\0\0\0\0\u{1}\u{2}boat\u{7f}\n", "syntax");
}

#[test]
fn a_hundred_megabytes_are_refused_without_being_read() {
    let folder = Folder::new();
    let file = std::fs::File::create(folder.path().join("a.boat")).unwrap();
    file.set_len(100_000_000).unwrap();
    let (code, told, peak) = checked(&folder, "a.boat");
    assert_eq!(code, 2);
    assert!(told.contains("it is above 8 MiB"), "{told}");
    assert!(peak < 64 << 10, "{peak} KiB");
}

#[cfg(target_os = "linux")]
#[test]
fn what_is_no_file_is_refused() {
    for path in ["/dev/zero", "/dev/stdin"] {
        let output = support::program(std::path::Path::new("/"))
            .args(["check", path])
            .output()
            .unwrap();
        assert_eq!(code(&output), 2, "{path}");
    }
}

#[test]
fn ten_thousand_quotes_that_never_close() {
    found(
        &format!("boat b\n    system 12 V\n{}", "load x \"a\n".repeat(10_000)),
        "syntax",
    );
    found(
        &format!(
            "boat b\n    system 12 V\nload x {}\n",
            "\"a ".repeat(10_001)
        ),
        "unknown-fact",
    );
}

#[test]
fn a_thing_a_hundred_thousand_times() {
    let text = format!(
        "boat b\n    system 12 V\n{}",
        "load lamp lighting 2 W\n".repeat(100_000)
    );
    let told = found(&text, "duplicate-name");
    assert_eq!(told.matches("[duplicate-name]").count(), 99_999);
}

#[test]
fn circles_of_names() {
    let told = found(
        "boat b\n    system 12 V\nbattery a like b\nbattery b like c\nbattery c like a\nplace p like p\n",
        "unknown-name",
    );
    assert_eq!(told.matches("like itself").count(), 4, "{told}");
}

#[test]
fn circles_of_files() {
    let folder = Folder::with(&[
        (
            "a.boat",
            "boat b\n    system 12 V\nuse \"a.boat\"\nuse \"b.boat\"\n",
        ),
        ("b.boat", "use \"c.boat\"\n"),
        (
            "c.boat",
            "use \"b.boat\"\nuse \"a.boat\"\nuse \"gone.boat\"\n",
        ),
    ]);
    let (code, told, _) = checked(&folder, "a.boat");
    assert_eq!(code, 1);
    assert_eq!(told.matches("uses this file in turn").count(), 3, "{told}");
    assert_eq!(told.matches("there is no such file").count(), 1, "{told}");
}

#[test]
fn numbers_out_of_all_sense() {
    let run = |metres: &str, load: &str| {
        format!(
            "{POWER}load l {load}\nrun r\n    h +\n    2.5 mm2 red 0.1 m\n    f\n    2.5 mm2 red {metres}\n    l\n    back black to h -\n"
        )
    };
    found(&run("-3 m", "2 A"), "impossible-value");
    found(&run("1e308 m", "2 A"), "impossible-value");
    found(&run("0 m", "2 A"), "impossible-value");
    found(&run("3 m", "1e308 A"), "impossible-value");
    found(&run("3 m", "-2 A"), "impossible-value");
    found(&run("3 m", "1e999 A"), "impossible-value");
    for word in ["NaN", "nan", "inf", "infinity", "-inf"] {
        let folder = Folder::with(&[("a.boat", &run("3 m", &format!("{word} A")))]);
        let (code, told, _) = checked(&folder, "a.boat");
        assert_eq!(code, 1, "{word}");
        assert!(told.contains("a.boat:5:8: error: "), "{word}: {told}");
    }
}

#[test]
fn loops_of_no_resistance() {
    found(
        "boat b\n    system 12 V\nbattery h agm 100 Ah\n    resistance 0 mohm\nbattery i like h\nbusbar p positive 100 A\n    posts 9\n\
         run a\n    h +\n    35 mm2 red 0.000001 m\n    p\n    35 mm2 red 0.000001 m\n    i +\n    35 mm2 red 0.000001 m\n    h +\n\
         run b\n    h -\n    35 mm2 black 0.000001 m\n    i -\n    35 mm2 black 0.000001 m\n    h -\nrun c\n    p\n    35 mm2 black 0.1 m\n    h -\n",
        "short-circuit",
    );
}

#[test]
fn loads_that_nothing_feeds() {
    found(
        "boat b\n    system 12 V\nload l lighting 2 A\nbusbar n negative\n    posts 4\nbusbar p positive\n    posts 4\nrun r\n    p\n    2.5 mm2 red 1 m\n    l\n    2.5 mm2 black 1 m\n    n\n",
        "open-circuit",
    );
}

/// A chain of stops from the battery to a load, behind what stands first.
fn chain(first: &str) -> String {
    let (mut joints, mut stops) = (String::new(), String::new());
    for at in 0..100_000 {
        // Writing to a string cannot fail.
        let _ = writeln!(joints, "joint j{at}");
        let _ = writeln!(stops, "    2.5 mm2 red 0.01 m\n    j{at}");
    }
    format!(
        "{POWER}load l 2 A\n{joints}run r\n    h +\n{first}{stops}    2.5 mm2 red 1 m\n    l\n    back black to h -\n"
    )
}

#[test]
fn a_chain_of_a_hundred_thousand_stops() {
    found(&chain("    2.5 mm2 red 0.1 m\n    f\n"), "cannot-deliver");
    found(&chain(""), "unfused-run");
}

#[test]
fn a_chain_of_likes() {
    let mut text = String::from("boat b\n    system 12 V\nbattery a-0 agm 100 Ah\n");
    for at in 1..20_000 {
        let _ = writeln!(text, "battery a-{at} like a-{}", at - 1);
    }
    found(&text, "unwired-part");
}

#[test]
fn a_line_of_a_megabyte_shows_a_piece_of_itself() {
    let folder = Folder::with(&[(
        "a.boat",
        &format!(
            "boat b\n    system 12 V # {} end\nload {} 2 W\n",
            "x".repeat(1 << 20),
            "y".repeat(1 << 20)
        ),
    )]);
    let output = folder.run(&["check", "a.boat"]);
    let told = String::from_utf8(output.stdout).unwrap();
    let longest = told.lines().map(str::len).max().unwrap_or(0);
    assert!(told.contains("a.boat:3:6"), "{}", &told[..2000]);
    assert!(told.contains('…'));
    assert!(longest < 3 << 20, "{longest}");
}

#[test]
fn what_could_steer_a_terminal_is_shown() {
    let evil = "\u{1b}[2J\u{1b}]0;gone\u{7}\u{9b}31m\u{202e}";
    let folder = Folder::with(&[
        (
            "a.boat",
            &format!(
                "boat b \"{evil}\"\n    system 12 V\nload l \"{evil}\" 2 A {evil}\nload l{evil} 2 A\nbattery h agm 100 Ah {evil}\nuse \"{evil}.boat\"\n"
            ),
        ),
        (&format!("{evil}.boat").replace('/', ""), "place p\n"),
    ]);
    for args in [
        &["check", "."][..],
        &["check", "--format", "plain", "."],
        &["check", "--format", "json", "."],
        &["format", "--check", "."],
        &["follow", ".", evil],
        &["explain", evil],
    ] {
        let output = folder.run(args);
        for bytes in [&output.stdout, &output.stderr] {
            let text = String::from_utf8_lossy(bytes);
            let bad = text
                .chars()
                .find(|&c| (c.is_control() && c != '\n') || c == '\u{202e}');
            assert_eq!(bad, None, "{args:?}: {text:?}");
        }
    }
}

#[cfg(unix)]
#[test]
fn a_reader_who_leaves_is_not_complained_of() {
    let folder = Folder::with(&[("a.boat", &"load lamp lighting 2 W\n".repeat(5000))]);
    let mut child = program(&folder.path())
        .args(["check", "--format", "plain", "a.boat"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = waited(child);
    assert!(
        output.stderr.is_empty(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}
