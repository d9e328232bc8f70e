//! Runs that nobody waits for: a thousand million draws in a memory that does not grow, ended by an interrupt with what
//! is known by then.
#![cfg(target_os = "linux")]

use std::fs;
use std::io::Read;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::hostile_decisions::spoilt;
use crate::program::command;

/// Longest that a run may take to end after an interrupt: it looks for one every few thousand draws of a stack, or every
/// 64 of worn ones.
const PATIENCE: Duration = Duration::from_secs(60);

/// Growth of the most memory used between two and four seconds, on a machine that may be busy starting the run: all draws
/// kept would double it.
const MOST_GROWTH: f64 = 1.3;

/// A number of the status of a process, in kB.
fn kilobytes(process: &Child, key: &str) -> f64 {
    let status = fs::read_to_string(format!("/proc/{}/status", process.id())).expect("it runs");
    let line = status.lines().find(|line| line.starts_with(key)).expect("the kernel tells");
    line.split_whitespace().nth(1).and_then(|number| number.parse().ok()).expect("a number")
}

/// Asks for a thousand million draws, waits, interrupts once and gives what was said, and the growth of the memory over
/// the second half of the wait.
fn interrupted(folder: &Path, what: &str) -> (Value, f64) {
    let mut process = command(folder)
        .args([what, "odd.toml", "--draws", "1000000000", "--json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut out = process.stdout.take().expect("piped");
    let reader = std::thread::spawn(move || {
        let mut text = String::new();
        out.read_to_string(&mut text).map(|_| text)
    });
    sleep(Duration::from_secs(2));
    let half = kilobytes(&process, "VmHWM:");
    sleep(Duration::from_secs(2));
    let growth = kilobytes(&process, "VmHWM:") / half;
    let sent = Command::new("kill").args(["-INT", &process.id().to_string()]).status();
    assert!(sent.expect("kill is there").success());
    let since = Instant::now();
    let status = loop {
        if let Some(status) = process.try_wait().expect("it is ours") {
            break status;
        }
        if since.elapsed() > PATIENCE {
            process.kill().expect("it is ours");
            break process.wait().expect("it is ours");
        }
        sleep(Duration::from_millis(50));
    };
    let mut said = String::new();
    process.stderr.take().expect("piped").read_to_string(&mut said).expect("text");
    assert_eq!((status.code(), said.as_str()), (Some(0), ""), "{what} after {:?}", since.elapsed());
    let text = reader.join().expect("it reads").expect("text");
    (serde_json::from_str(&text).expect("JSON"), growth)
}

#[test]
fn a_thousand_million_draws_of_stacks_end_at_an_interrupt_with_what_is_known() {
    let folder = spoilt("[question]\nlayers_of = \"felt\"\nmost = 3\n", "");
    let (report, growth) = interrupted(folder.path(), "vary");
    let stack = &report["stacks"][0];
    assert_eq!(stack["ending"], "interrupted");
    let drawn = stack["draws"].as_u64().expect("a count");
    assert!((1..1_000_000_000).contains(&drawn), "{drawn}");
    assert!(stack["pressure_drop_pa"]["q50"].as_f64().is_some_and(|drop| drop > 0.0), "{stack}");
    assert!(growth < MOST_GROWTH, "memory grew {growth} times");
}

#[test]
fn a_thousand_million_worn_draws_end_at_an_interrupt_with_what_is_known() {
    let folder = spoilt("most = 3", "most = 2");
    let (report, growth) = interrupted(folder.path(), "wear");
    assert_eq!(report["ending"], "interrupted");
    let drawn = report["draws"].as_u64().expect("a count");
    assert!((1..1_000_000_000).contains(&drawn), "{drawn}");
    let warnings = report["warnings"].to_string();
    assert!(warnings.contains(&format!("the run was broken off after {drawn} draws")), "{warnings}");
    let inhaled = &report["layers"][0]["total_inward_leakage"];
    assert!(inhaled["q975"].as_f64().is_some_and(|share| share > 0.0), "{inhaled}");
    assert!(growth < MOST_GROWTH, "memory grew {growth} times");
}
