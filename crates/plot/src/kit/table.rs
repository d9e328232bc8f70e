//! What a chart draws, as CSV: the figure and the data beside it.

use std::fmt::Write as _;

use super::{Chart, Guide, Panel};

/// Ends of the light and of the dark range of a span.
const SPAN_ENDS: [&str; 4] = ["light_low", "light_high", "dark_low", "dark_high"];

impl Chart {
    /// Everything that the chart draws, one point a row, numbers with the digits that give the same double again.
    ///
    /// Columns: `panel` (its title, or its number where it has none), `series`, `mark` (`line`, `band`, `marker`, `guide`, `bar` or `span`), then one for each axis of the panels by
    /// its column name, `_low` and `_high` where a band or the spread of a bar has two values, `_part` for the dark part of a bar,
    /// `_light_low` to `_dark_high` for the ends of a span, and `label`. Cells without meaning are empty.
    pub fn to_csv(&self) -> String {
        let columns = self.value_columns();
        let mut table = Table { columns, text: String::new() };
        table.head();
        for (n, panel) in self.panels.iter().enumerate() {
            let name = if panel.title.is_empty() { (n + 1).to_string() } else { panel.title.clone() };
            table.panel(panel, &name);
        }
        table.text
    }

    fn value_columns(&self) -> Vec<String> {
        let mut columns: Vec<String> = Vec::new();
        let mut add = |name: String| {
            if !columns.contains(&name) {
                columns.push(name);
            }
        };
        for panel in &self.panels {
            add(panel.x.column.clone());
        }
        for panel in &self.panels {
            add(panel.y.column.clone());
            if !panel.bands.is_empty() {
                add(format!("{}_low", panel.y.column));
                add(format!("{}_high", panel.y.column));
            }
            if !panel.bars.is_empty() {
                for end in ["part", "low", "high"] {
                    add(format!("{}_{end}", panel.x.column));
                }
            }
            if !panel.spans.is_empty() {
                for end in SPAN_ENDS {
                    add(format!("{}_{end}", panel.x.column));
                }
            }
        }
        columns
    }
}

/// A row before its cells are in order.
struct Row<'a> {
    panel: &'a str,
    series: &'a str,
    mark: &'a str,
    values: &'a [(String, f64)],
    label: &'a str,
}

struct Table {
    columns: Vec<String>,
    text: String,
}

impl Table {
    fn head(&mut self) {
        let names = ["panel", "series", "mark"].into_iter().chain(self.columns.iter().map(String::as_str));
        let cells: Vec<String> = names.chain(["label"]).map(quoted).collect();
        self.text = cells.join(",") + "\n";
    }

    fn row(&mut self, row: &Row<'_>) {
        let mut cells = vec![quoted(row.panel), quoted(row.series), row.mark.to_owned()];
        for column in &self.columns {
            let value = row.values.iter().find(|(name, _)| name == column);
            cells.push(value.map_or_else(String::new, |(_, value)| cell(*value)));
        }
        cells.push(quoted(row.label));
        // Writing to a String cannot fail.
        let _ = writeln!(self.text, "{}", cells.join(","));
    }

    fn panel(&mut self, panel: &Panel, name: &str) {
        let (x_name, y_name) = (&panel.x.column, &panel.y.column);
        let pair = |x: f64, y: f64| [(x_name.clone(), x), (y_name.clone(), y)];
        for line in &panel.lines {
            for &(x, y) in &line.points {
                let values = pair(x, y);
                self.row(&Row { panel: name, series: &line.name, mark: "line", values: &values, label: "" });
            }
        }
        for band in &panel.bands {
            for &(x, low, high) in &band.points {
                let ends = [(format!("{y_name}_low"), low), (format!("{y_name}_high"), high)];
                let [lower, upper] = ends;
                let values = [(x_name.clone(), x), lower, upper];
                self.row(&Row { panel: name, series: &band.name, mark: "band", values: &values, label: "" });
            }
        }
        for (n, bar) in panel.bars.iter().enumerate() {
            let (low, high) = bar.spread.unwrap_or((f64::NAN, f64::NAN));
            let ends = [("part", bar.part), ("low", low), ("high", high)];
            let mut values = pair(bar.whole, n as f64 + 1.0).to_vec();
            values.extend(ends.map(|(end, value)| (format!("{x_name}_{end}"), value)));
            let (series, label) = (bar.name.as_str(), bar.label.as_str());
            self.row(&Row { panel: name, series, mark: "bar", values: &values, label });
        }
        for (n, span) in panel.spans.iter().enumerate() {
            let ends = |range: Option<(f64, f64)>| range.unwrap_or((f64::NAN, f64::NAN));
            let ((a, b), (c, d)) = (ends(span.light), ends(span.dark));
            let mut values = pair(span.mark.unwrap_or(f64::NAN), n as f64 + 1.0).to_vec();
            let named = SPAN_ENDS.into_iter().zip([a, b, c, d]);
            values.extend(named.map(|(end, value)| (format!("{x_name}_{end}"), value)));
            let (series, label) = (span.name.as_str(), span.label.as_str());
            self.row(&Row { panel: name, series, mark: "span", values: &values, label });
        }
        for marker in &panel.markers {
            let values = pair(marker.at.0, marker.at.1);
            let (series, label) = (marker.series.as_str(), marker.label.as_str());
            self.row(&Row { panel: name, series, mark: "marker", values: &values, label });
        }
        for guide in &panel.guides {
            let (column, at, label) = match guide {
                Guide::Horizontal { at, label } => (y_name, *at, label),
                Guide::Vertical { at, label } => (x_name, *at, label),
            };
            self.row(&Row { panel: name, series: "", mark: "guide", values: &[(column.clone(), at)], label });
        }
    }
}

/// A number that reads back to the same bits; empty where it is not finite.
fn cell(value: f64) -> String {
    if value.is_finite() { format!("{value:?}") } else { String::new() }
}

/// A text as a cell, quoted where commas, quotes or line breaks ask for it (RFC 4180).
fn quoted(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::{Axis, Band, Ink, Line, Marker};

    #[test]
    fn every_point_stands_in_the_table_and_reads_back_to_the_same_bits() {
        let mut panel = Panel::new(
            Axis::log("size (µm)", "particle_diameter_um"),
            Axis::linear("penetration", "penetration"),
        );
        let value = 0.1 + 0.2;
        panel.lines.push(Line::new("felt, \"grey\"", vec![(0.3, value), (1.0, f64::NAN)], Ink::nth(0)));
        panel.bands.push(Band { name: "closures".into(), points: vec![(0.3, 1e-9, 0.5)], ink: Ink::nth(0) });
        let label = "0.3 µm".to_owned();
        panel.markers.push(Marker { series: "felt".into(), at: (0.3, value), label, ink: Ink::nth(0) });
        panel.guides.push(Guide::Vertical { at: 1.0, label: "1 µm".into() });
        let text = Chart::new("t", vec![panel]).to_csv();
        let rows: Vec<&str> = text.lines().collect();
        assert_eq!(
            rows,
            [
                "panel,series,mark,particle_diameter_um,penetration,penetration_low,penetration_high,label",
                "1,\"felt, \"\"grey\"\"\",line,0.3,0.30000000000000004,,,",
                "1,\"felt, \"\"grey\"\"\",line,1.0,,,,",
                "1,closures,band,0.3,,1e-9,0.5,",
                "1,felt,marker,0.3,0.30000000000000004,,,0.3 µm",
                "1,,guide,1.0,,,,1 µm",
            ]
        );
        assert_eq!("0.30000000000000004".parse::<f64>().map(f64::to_bits), Ok(value.to_bits()));
    }
}
