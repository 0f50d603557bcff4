//! What is accepted with a warning, and that the warning says what was done.

use super::{HEADER, ROWS, file, map, sound, warnings};

#[test]
fn rows_in_another_order_are_sorted() {
    let mut rows: Vec<&str> = ROWS.lines().collect();
    rows.reverse();
    let turned = file(HEADER, &rows.join("\n"));
    assert_eq!(map(&turned), map(&file(HEADER, ROWS)));
    assert_eq!(
        warnings(&turned),
        [
            "The speed lines were not in order of rising speed (line 9 of the file is slower than \
             what stands before it); they were sorted.",
            "The points of the line of 60000 rev/min were not in order of rising flow (first at line \
             10 of the file); they were sorted.",
            "The points of the line of 90000 rev/min were not in order of rising flow (first at line \
             7 of the file); they were sorted.",
        ]
    );
}

#[test]
fn a_point_twice_is_kept_once() {
    let rows = format!("{ROWS}90000,0.25,1.9,\n90000,0.25,1.9,0.74\n");
    assert_eq!(
        map(&file(HEADER, &rows)).lines,
        map(&file(HEADER, ROWS)).lines
    );
    assert_eq!(
        warnings(&file(HEADER, &rows)),
        [
            "The points of the line of 90000 rev/min were not in order of rising flow (first at line \
             12 of the file); they were sorted.",
            "2 point(s) stood in the file before (the first at line 12 of the file, the same as line \
             10 of the file); each was kept once.",
            "1 of 8 points have no efficiency; nothing was put in their place.",
        ]
    );
}

#[test]
fn short_lines_and_near_lines() {
    let rows = format!("{ROWS}90010,0.33,1.5,0.6\n");
    assert_eq!(
        warnings(&file(HEADER, &rows)),
        [
            "The line of 90010 rev/min has 1 point(s) and a map needs three on each; add points, or \
             leave the line out.",
            "The lines of 90000 and 90010 rev/min differ by less than half a per cent; if they are \
             one line, give its points one speed.",
        ]
    );
}

#[test]
fn a_surge_mark_in_the_middle() {
    let header = format!("{HEADER},surge");
    let rows = ROWS.replace("0.72\n", "0.72,yes\n");
    let text = file(&header, &rows);
    assert_eq!(
        warnings(&text),
        [
            "The point at line 7 of the file is marked as surge, but the line of 60000 rev/min has points at less \
             flow; they are taken to lie left of surge."
        ]
    );
    assert_eq!(map(&text).lines[0].points.len(), 3);
}

#[test]
fn lines_that_may_cross() {
    // (0.28, 1.75) is above the straight line from (0.25, 1.9) to (0.3, 1.6), but below 1.9.
    let rows = ROWS.replace("60000,0.2,1.2,0.6\n", "60000,0.28,1.75,0.6\n");
    assert_eq!(
        warnings(&file(HEADER, &rows)),
        [
            "The lines of 60000 and 90000 rev/min would cross near line 8 of the file if they were \
             straight between their points; check that point, or add points around it."
        ]
    );
}

#[test]
fn warnings_are_not_without_end() {
    let mut rows = String::new();
    for line in 0..150 {
        let speed = 60_000 + 900 * line;
        rows += &format!(
            "{speed},{},{},0.7\n",
            0.1 + 0.001 * f64::from(line),
            1.5 + 0.01 * f64::from(line)
        );
    }
    let reading = sound(&file(HEADER, &rows));
    assert_eq!(reading.warnings.len(), 21);
    let last = reading.warnings.last().map(ToString::to_string);
    let last = last.unwrap_or_default();
    assert!(last.starts_with("There are "), "{last}");
}
