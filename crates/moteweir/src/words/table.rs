//! A table of text in columns.

/// How a column stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// A table: a heading and rows of cells.
#[derive(Clone, Debug)]
pub struct Table {
    columns: Vec<(String, Align)>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// A table with its columns.
    pub fn new(columns: &[(&str, Align)]) -> Self {
        Self {
            columns: columns.iter().map(|(name, align)| ((*name).to_owned(), *align)).collect(),
            rows: Vec::new(),
        }
    }

    /// Adds a row; missing cells are empty.
    pub fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        self.rows.push(cells.into_iter().collect());
    }

    /// For a terminal: two spaces between columns, a rule under the heading.
    pub fn plain(&self) -> String {
        let widths = self.widths();
        let heading = self.line(&self.columns.iter().map(|c| c.0.clone()).collect::<Vec<_>>(), &widths);
        let rule: Vec<String> = widths.iter().map(|w| "-".repeat(*w)).collect();
        let mut lines = vec![heading, rule.join("  ")];
        lines.extend(self.rows.iter().map(|row| self.line(row, &widths)));
        lines.join("\n")
    }

    /// As Markdown.
    pub fn markdown(&self) -> String {
        let cell = |text: &str| text.replace('|', "\\|");
        let heading: Vec<String> = self.columns.iter().map(|(name, _)| cell(name)).collect();
        let rule: Vec<&str> = self
            .columns
            .iter()
            .map(|(_, align)| if *align == Align::Left { "---" } else { "---:" })
            .collect();
        let mut lines = vec![format!("| {} |", heading.join(" | ")), format!("| {} |", rule.join(" | "))];
        for row in &self.rows {
            let cells: Vec<String> = row.iter().map(|c| cell(c)).collect();
            lines.push(format!("| {} |", cells.join(" | ")));
        }
        lines.join("\n")
    }

    fn widths(&self) -> Vec<usize> {
        let width = |text: &str| text.chars().count();
        (0..self.columns.len())
            .map(|i| {
                let cells = self.rows.iter().filter_map(|row| row.get(i)).map(|c| width(c));
                cells.fold(width(&self.columns[i].0), usize::max)
            })
            .collect()
    }

    fn line(&self, cells: &[String], widths: &[usize]) -> String {
        let empty = String::new();
        let padded: Vec<String> = widths
            .iter()
            .enumerate()
            .map(|(i, &width)| {
                let cell = cells.get(i).unwrap_or(&empty);
                match self.columns[i].1 {
                    Align::Left => format!("{cell:<width$}"),
                    Align::Right => format!("{cell:>width$}"),
                }
            })
            .collect();
        padded.join("  ").trim_end().to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up_and_pipes_are_escaped() {
        let mut table = Table::new(&[("stack", Align::Left), ("drop", Align::Right)]);
        table.row(["felt | felt".to_owned(), "24 Pa".to_owned()]);
        table.row(["gauze".to_owned(), "1.2 Pa".to_owned()]);
        assert_eq!(
            table.plain(),
            "stack          drop\n-----------  ------\nfelt | felt   24 Pa\ngauze        1.2 Pa"
        );
        assert!(table.markdown().contains("felt \\| felt"));
    }
}
