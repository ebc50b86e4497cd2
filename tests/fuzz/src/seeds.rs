//! Inputs to begin with: the worksheets that ship, the language's examples, those
//! of the problems, and talks, cut to a size that runs quickly.

use std::fs;
use std::io;
use std::path::Path;

use tarebook::problem::explanations::EXPLANATIONS;
use tarebook::report::language::TERMS;
use tarebook::session::starters::STARTERS;

use crate::harness::TARGETS;

/// So many bytes of a worksheet make one seed, up to the next empty line.
const PIECE: usize = 900;

/// A table with readings, and the same in a file.
const RUN: &str = "table run\n  | time  | gross [lb ± 0.05] | hose |\n  | 09:04 | 35.4              | on   |\n\n===";
const FILE: &str = "time,gross [lb ± 0.05],hose\n09:04,35.4,on\n12:10,28.7,\"o,n\"\n";
/// Readings as they are typed.
const READINGS: &str =
    "\n===run time 13:10, gross 26.4 lb, hose on\n===14:10, 24.2, off\n===remove run of row 1\n===gross 3 kg";
/// What may stand behind a file's path.
const OPTIONS: [&str; 6] = [
    "columns: \"a = time; b [lb] = gross [lb]\"",
    "dates: \"month/day/year\"",
    "every: 30 min",
    "every: 2 each, skip_unread: true",
    "columns: \"time; gross\", dates: \"day.month.year\", every: 1 h",
    "skip_unread: true, columns: \"\"",
];

/// Writes the seeds of every target below a folder.
///
/// # Errors
/// Those of the files.
pub fn write(folder: &Path) -> io::Result<()> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let sheets = worksheets(&root)?;
    let tables = files(&root, &["notebooks", "tests/data", "tests/data/documents"], "csv")?;
    let typed = typed(&root)?;
    for (target, _) in TARGETS {
        let own: Vec<String> = match target {
            "csv" => tables.iter().map(|table| table.chars().take(1500).collect()).collect(),
            "session" => sheets
                .iter()
                .zip(typed.iter().cycle())
                .map(|(sheet, typed)| format!("{sheet}{typed}"))
                .collect(),
            "edit" => sheets
                .iter()
                .map(|sheet| {
                    format!("{sheet}\n===\u{3}\u{2} 5 lb\n===\u{5}\u{4}worked x = 1 lb\n===\u{2}\u{1}case c\n  x = 3\n")
                })
                .collect(),
            "add" => sheets
                .iter()
                .zip(tables.iter().cycle())
                .map(|(sheet, table)| format!("{sheet}\n==={}{READINGS}", head(table)))
                .chain([format!("{RUN}{READINGS}"), format!("table run = csv(\"run.csv\")\n==={FILE}{READINGS}")])
                .collect(),
            "columns" => OPTIONS
                .iter()
                .flat_map(|options| tables.iter().map(move |table| format!("{options}\n{}", head(table))))
                .collect(),
            "use" => sheets
                .iter()
                .zip(sheets.iter().cycle().skip(1))
                .map(|(one, other)| {
                    format!("use \"a.tare\" as a\nuse \"b.tare\" as b\n{one}\n==={other}\n===use \"a.tare\" as own\nworked x = own.rate\n==={FILE}\n===worked x = 1 lb\n")
                })
                .collect(),
            "mark" => sheets
                .iter()
                .filter(|sheet| sheet.contains("close to"))
                .map(|sheet| format!("{sheet}\n==={}\n==={sheet}\n===", sheet.replacen('?', "19.2 lb", 1)))
                .collect(),
            "page" => sheets
                .iter()
                .zip(typed.iter().cycle())
                .map(|(sheet, typed)| format!("{sheet}{typed}"))
                .collect(),
            "editor" => sheets
                .iter()
                .enumerate()
                .map(|(count, sheet)| format!("{sheet}{}", messages(count)))
                .collect(),
            _ => sheets.clone(),
        };
        let place = folder.join(target);
        fs::create_dir_all(&place)?;
        for (count, seed) in own.iter().enumerate() {
            fs::write(place.join(format!("seed-{count:03}")), seed)?;
        }
    }
    Ok(())
}

fn head(table: &str) -> String {
    table.chars().take(600).collect()
}

fn messages(count: usize) -> String {
    let letter = |number: usize| char::from(b'@' + u8::try_from(number % 32).unwrap_or(0));
    let line = |kind: usize| format!("\n==={}{}{}@Cx1", letter(kind), letter(count % 9), letter(count % 23));
    (count..count + 5).map(|kind| line(kind * 3)).collect()
}

fn worksheets(root: &Path) -> io::Result<Vec<String>> {
    let whole = files(root, &["notebooks", "notebooks/lessons"], "tare")?;
    let starters = STARTERS.iter().map(|starter| starter.text.to_owned());
    let reference = fs::read_to_string(root.join("grammar/reference.md"))?;
    let examples = reference
        .split("```")
        .skip(1)
        .step_by(2)
        .map(|block| block.split_once('\n').map_or("", |(_, text)| text).to_owned());
    let terms = TERMS.iter().map(|term| term.example.to_owned());
    let wrong = EXPLANATIONS
        .iter()
        .flat_map(|known| [known.wrong.clone(), known.mended.clone()]);
    let long = whole.into_iter().chain(starters).flat_map(|text| cut(&text));
    Ok(long
        .chain(examples)
        .chain(terms)
        .chain(wrong)
        .filter(|text| !text.is_empty())
        .collect())
}

fn cut(text: &str) -> Vec<String> {
    let mut pieces = vec![String::new()];
    for part in text.split("\n\n") {
        if pieces.last().is_some_and(|last| last.len() > PIECE) {
            pieces.push(String::new());
        }
        if let Some(last) = pieces.last_mut() {
            last.push_str(part);
            last.push_str("\n\n");
        }
    }
    pieces
}

/// Lines typed in the talks, a few at a time.
fn typed(root: &Path) -> io::Result<Vec<String>> {
    let talks = files(root, &["tests/session"], "txt")?;
    let lines: Vec<String> = talks
        .iter()
        .flat_map(|talk| talk.lines())
        .filter_map(|line| Some(line.split_once("> ")?.1.to_owned()))
        .collect();
    let few = lines
        .chunks(5)
        .map(|few| few.iter().map(|line| format!("\n==={line}")).collect());
    Ok(few.collect())
}

fn files(root: &Path, folders: &[&str], ending: &str) -> io::Result<Vec<String>> {
    let mut paths = Vec::new();
    for folder in folders {
        for entry in fs::read_dir(root.join(folder))? {
            paths.push(entry?.path());
        }
    }
    paths.retain(|path| path.extension().is_some_and(|known| known == ending));
    paths.sort();
    paths.iter().map(fs::read_to_string).collect()
}
