//! Labels to the left, text to the right, wrapped to a narrow terminal.

/// Width of a line; fits the narrowest terminal in use.
const WIDTH: usize = 78;
/// Where the text begins.
const INDENT: usize = 14;

/// A summary being written.
#[derive(Debug)]
pub(super) struct Sheet {
    lines: Vec<String>,
    label: String,
}

impl Sheet {
    /// A sheet that begins with a line of its own.
    pub(super) fn titled(title: &str) -> Self {
        Self {
            lines: vec![title.to_owned()],
            label: String::new(),
        }
    }

    /// A labeled text; the same label twice in a row is printed once.
    pub(super) fn line(&mut self, label: &str, text: &str) {
        let shown = if self.label == label { "" } else { label };
        self.wrap(&format!("  {shown:<width$}", width = INDENT - 2), text);
        label.clone_into(&mut self.label);
    }

    /// A line that belongs to the one above, a little to the right.
    pub(super) fn under(&mut self, text: &str) {
        self.wrap(&" ".repeat(INDENT + 2), text);
    }

    /// The whole text, without a last line end.
    pub(super) fn finish(self) -> String {
        self.lines.join("\n")
    }

    fn wrap(&mut self, start: &str, text: &str) {
        let indent = start.chars().count();
        let mut line = start.to_owned();
        let mut empty = true;
        for word in text.split_whitespace() {
            let longer = line.chars().count() + usize::from(!empty) + word.chars().count();
            if !empty && longer > WIDTH {
                self.lines.push(line.trim_end().to_owned());
                line = " ".repeat(indent);
                empty = true;
            }
            if !empty {
                line.push(' ');
            }
            line.push_str(word);
            empty = false;
        }
        self.lines.push(line.trim_end().to_owned());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_text_is_wrapped_under_itself_and_a_label_is_said_once() {
        let mut sheet = Sheet::titled("oak.jpg");
        sheet.line("Notes", &"word ".repeat(20));
        sheet.line("Notes", "again");
        let text = sheet.finish();
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH));
        assert_eq!(text.matches("Notes").count(), 1);
        assert_eq!(text.lines().last(), Some("              again"));
    }
}
