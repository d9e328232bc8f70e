//! Files of counts as people write them, right and wrong.

use super::{Channel, Reading, Readings, State};
use crate::problem::{Problem, Severity};

const PLAIN: &str = "state,specimen,from_um,to_um,seconds,counts
open,,0.3,,60,11040
sample,felt,0.3,,60,912
open,,0.3,,60,10980
";

fn read(text: &str) -> Readings {
    Readings::read(text).unwrap_or_else(|problems| panic!("{:?}\n{text}", said(text, &problems.0)))
}

/// Each problem with its line and column.
fn said(text: &str, problems: &[Problem]) -> Vec<String> {
    problems
        .iter()
        .map(|p| {
            let (line, column) = p.line_column(text);
            format!("{line}:{column} {}", p.message())
        })
        .collect()
}

#[track_caller]
fn wrong(text: &str, expected: &[&str]) {
    let problems = Readings::read(text).expect_err("something is wrong with it");
    assert_eq!(said(text, &problems.0), expected, "{text}");
}

fn counts(readings: &Readings) -> Vec<(State, Vec<u64>)> {
    let of = |r| readings.counts_of(r).iter().map(|c| c.counts).collect();
    readings.readings.iter().map(|r| (r.state, of(r))).collect()
}

#[test]
fn a_plain_file() {
    let readings = read(PLAIN);
    assert_eq!(
        counts(&readings),
        [(State::Open, vec![11040]), (State::Sample(0), vec![912]), (State::Open, vec![10980])]
    );
    assert_eq!(readings.specimens[0].words(), "felt");
    assert_eq!(readings.channels.iter().map(Channel::words).collect::<Vec<_>>(), ["above 0.3 um"]);
    let lines: Vec<u32> = readings.readings.iter().map(|r| r.line).collect();
    let middles: Vec<f64> = readings.readings.iter().map(|r| r.middle_s).collect();
    assert_eq!((lines, middles), (vec![2, 3, 4], vec![30.0, 90.0, 150.0]));
}

#[test]
fn the_dress_of_a_file_changes_nothing() {
    let expected = read(PLAIN);
    let german = PLAIN.replace(',', ";").replace('.', ",");
    let shuffled = "counts,seconds,to_um,from_um,specimen,state
11040,60,,0.3,,open
912,60,,0.3,felt,sample
10980,60,,0.3,,open";
    for text in [
        format!("\u{feff}{PLAIN}"),
        PLAIN.replace('\n', "\r\n"),
        german.clone(),
        format!("\u{feff}{}", german.replace('\n', "\r\n")),
        PLAIN.replace(',', "\t"),
        PLAIN.replace("felt", "\"felt\"").replace("0.3", " \"0.3\" "),
        PLAIN.replace('\n', ",,\n"),
        PLAIN.to_uppercase().replace("FELT", "felt"),
        shuffled.to_owned(),
    ] {
        assert_eq!(read(&text), expected, "{text}");
    }
    let commented =
        format!("# a bench of ours\n\n{}# done\n", PLAIN.replace("sample", "  # dust\n,,,,,\nsample"));
    let mut readings = read(&commented);
    let lines: Vec<u32> = readings.readings.iter().map(|r| r.line).collect();
    assert_eq!(lines, [4, 7, 8]);
    for (reading, before) in readings.readings.iter_mut().zip(&expected.readings) {
        reading.line = before.line;
    }
    assert_eq!(readings, expected);
}

#[test]
fn cumulative_channels_are_differenced_in_every_reading() {
    let text = "reading,state,from_um,seconds,counts
1,open,0.3,60,1000
1,open,0.5,60,400
2,sample,0.5,60,40
1,open,1,60,100
2,sample,0.3,60,300
2,sample,1,60,5
";
    let readings = read(text);
    assert_eq!(
        readings.channels.iter().map(Channel::words).collect::<Vec<_>>(),
        ["0.3 to 0.5 um", "0.5 to 1 um", "above 1 um"]
    );
    assert_eq!(counts(&readings), [(State::Open, vec![600, 300, 100]), (State::Sample(0), vec![260, 35, 5])]);
    let of_last: Vec<u64> = readings.of_channel(2).map(|(_, n)| n).collect();
    assert_eq!(of_last, [100, 5]);
    wrong(
        &text.replace("0.5,60,40\n", "0.5,60,400\n"),
        &["6:1 the channel above 0.3 um counts 300, fewer than the 400 of above 0.5 um inside it"],
    );
}

#[test]
fn rows_without_a_reading_number_make_readings_of_their_own() {
    let text = "state,from_um,to_um,seconds,counts
open,0.3,0.5,60,600
open,0.5,1,60,300
open,0.3,0.5,60,610
open,0.5,1,60,290
sample,0.3,0.5,60,61
sample,0.5,1,60,20
";
    let expected =
        [(State::Open, vec![600, 300]), (State::Open, vec![610, 290]), (State::Sample(0), vec![61, 20])];
    assert_eq!(counts(&read(text)), expected);
}

#[test]
fn numbers_of_readings_may_begin_anew_in_each_state() {
    let text = "reading,state,from_um,seconds,counts
1,open,0.3,60,1000
1,sample,0.3,60,30
2,open,0.3,60,1010
";
    assert_eq!(read(text).readings.len(), 3);
}

#[test]
fn everything_that_is_wrong_at_once_and_in_its_place() {
    wrong(
        "reading,state,specimen,side,layers,treatment,from_um,to_um,seconds,litres_per_minute,face_velocity_cm_per_s,counts
1,open,,,,,0.3,,60,2.83,,many
2,opne,,,,,0.3,,60,2.83,,1000
3,sample,felt,,1.5,,0.3,,60,2.83,10,-3
4,sample,felt,,1,,1,0.5,0,2.83,10,30.5
5,sample,felt,,1,,,,60,,10,
6,open,,,,,0.3 um,,60,2.83,,\"1,104\"
",
        &[
            "2:26 `counts`: `many` is no number",
            "3:3 `opne` is no state",
            "4:16 `layers` = 1.5 is not whole",
            "4:37 `counts` = -3 is outside what is possible",
            "5:19 the channel is upside down: `from_um` = 1 is not below `to_um` = 0.5",
            "5:25 `seconds` = 0 is outside what is possible",
            "5:35 `counts` = 30.5 is not whole",
            "6:1 neither `from_um` nor `to_um` is given",
            "6:28 `counts` is empty",
            "7:12 `from_um`: `0.3 um` is no number",
            "7:30 `counts`: `1,104` is no number",
        ],
    );
}

#[test]
fn headers_that_are_none() {
    wrong("", &["1:1 there are no counts in it"]);
    wrong("# nothing\n\n", &["3:1 there are no counts in it"]);
    wrong(
        "open,0.3,60,1000\n",
        &["1:1 the first row is no header: none of its fields is the name of a column"],
    );
    wrong(
        "state,from_um,second,counts,counts\n",
        &[
            "1:1 the header lacks the column `seconds`",
            "1:15 unknown column `second`",
            "1:29 the column `counts` comes twice",
        ],
    );
    wrong("state,seconds,counts\n", &["1:1 the header lacks the column `from_um`"]);
    let text = PLAIN.replace("specimen", "operator");
    let readings = read(&text);
    assert_eq!(said(&text, &readings.warnings), ["1:7 unknown column `operator`"]);
    assert!(readings.warnings.iter().all(|p| p.severity == Severity::Warning));
}

#[test]
fn a_decimal_comma_between_commas_is_explained() {
    let text = "state,from_um,seconds,counts\nopen,0,3,60,1000\n";
    wrong(text, &["2:13 the row has 5 fields, but the heading names 4 columns"]);
}

#[test]
fn a_quote_that_stays_open() {
    let text = PLAIN.replace(",felt,", ",\"felt,");
    let said = "3:1 a quote is not closed on its line, so that what follows was not read";
    wrong(&text, &[said]);
}

#[test]
fn what_is_missing_altogether() {
    let no_open = PLAIN.replace("open", "zero");
    wrong(&no_open, &["4:20 there is no `open` reading to compare with"]);
    wrong(&PLAIN.replace("sample", "zero"), &["4:20 there is no `sample` reading"]);
    wrong("state,from_um,seconds,counts\n", &["1:29 there are no counts in it"]);
    let other = PLAIN.replace("felt,0.3", "felt,0.5");
    wrong(&other, &["3:1 there is no `open` reading of the channel above 0.5 um"]);
}

#[test]
fn twice_is_once_too_often() {
    let text = "reading,state,from_um,seconds,counts
1,open,0.3,60,1000
2,sample,0.3,60,30
2,sample,0.3,60,30
";
    wrong(text, &["4:1 the same channel of the same reading a second time"]);
    let text = text.replacen("2,sample,0.3,60", "2,sample,0.3,30", 1);
    wrong(
        &text,
        &[
            "4:1 the same channel of the same reading a second time",
            "4:14 two rows of one reading disagree: `seconds` is 60 here and 30 in line 3",
        ],
    );
    let copied = PLAIN.replace("10980\n", "10980\nopen,,0.3,,60,10980\n");
    let readings = read(&copied);
    assert_eq!(
        said(&copied, &readings.warnings),
        ["5:1 the row repeats the one before it to the last digit"]
    );
}

#[test]
fn a_flow_in_some_rows_only() {
    let text = "state,from_um,seconds,litres_per_minute,counts
open,0.3,60,2.83,1000
sample,0.3,60,,30
";
    wrong(text, &["3:1 `litres_per_minute` is given in some rows but not in this one"]);
    let readings = read(&text.replace("60,,30", "60,2.6,30"));
    let litres: Vec<f64> = readings.readings.iter().map(Reading::exposure).collect();
    assert!((litres[0] - 2.83).abs() < 1e-12 && (litres[1] - 2.6).abs() < 1e-12, "{litres:?}");
}

#[test]
fn no_more_problems_than_somebody_reads() {
    let text = format!("{PLAIN}{}", "open,,0.3,,60,x\n".repeat(1000));
    let problems = Readings::read(&text).expect_err("it is wrong").0;
    assert_eq!(problems.len(), 21);
    assert_eq!(said(&text, &problems[20..]), ["25:15 980 more problems from here on"]);
    assert_eq!(problems.iter().map(Problem::stands_for).sum::<usize>(), 1000);
}

#[test]
fn any_text_answers_or_errs_within_its_own_bounds() {
    let pieces = [
        "state", "from_um", "seconds", "counts", "reading", "open", "sample", ",", ";", "\n", "\r", "\"",
        "#", "0.3", "60", "-1", "\u{feff}", "é", "\t", " ", ",,", "12",
    ];
    let header = "state,from_um,seconds,counts,reading\n";
    let mut state = 1_usize;
    for round in 0..20_000 {
        let mut text = if round % 2 == 0 { header.to_owned() } else { String::new() };
        for _ in 0..=state % 40 {
            state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            text.push_str(pieces[(state >> 33) % pieces.len()]);
        }
        let problems = match Readings::read(&text) {
            Ok(readings) => readings.warnings,
            Err(problems) => problems.0,
        };
        for problem in problems {
            assert!(text.get(problem.span.clone()).is_some(), "{text:?}: {problem:?}");
        }
    }
}
