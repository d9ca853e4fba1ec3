//! Every input that is kept, and a few seconds of new ones for each reader.

use fuzz::{Budget, TARGETS, corpus_folder, drive};
use std::time::Duration;

/// Time for new inputs, each target. All of them together stay under a minute.
const TIME: Duration = Duration::from_secs(2);

#[test]
fn no_kept_input_and_no_new_one_breaks_a_reader() {
    let mut found = Vec::new();
    for target in TARGETS {
        let budget = Budget {
            time: TIME,
            // The same inputs each time: a failure stays one until it is mended.
            seed: 1,
        };
        match drive(target, budget) {
            Ok(report) => assert!(report.tried > 1, "{} has no corpus", target.name),
            Err(find) => found.push(format!(
                "{}: {}\n{:?}\nkeep it in {}",
                target.name,
                find.what,
                String::from_utf8_lossy(&find.input),
                corpus_folder(target).display()
            )),
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n\n"));
}
