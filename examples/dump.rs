use tarebook::sheet::{Reading, Sheet, names::CellId};
fn main() {
    let path = std::env::args().nth(1).unwrap();
    let text = std::fs::read_to_string(&path).unwrap();
    let s = Sheet::load(text, std::path::Path::new(&path).parent().map(|p| p.to_path_buf()));
    let cells: Vec<CellId> = (0..s.cell_count() as u32).map(CellId).collect();
    let a = s.appraise(cells.iter().copied());
    for c in &cells {
        let name = s.entry(*c).map(|e| e.name.text.to_string()).unwrap_or("expect".into());
        let v = match s.reading(*c) {
            Reading::Number(n) => n.to_plain(),
            Reading::Column(x) => format!("{x:?}"),
            Reading::None(st) => format!("{st:?} {:?}", s.waits_on(*c)),
        };
        println!("{name} = {v} {:?} {:?}", s.shape(*c).map(|x| x.kind), a.doubts.get(c));
    }
    for p in s.problems() {
        println!(
            "PROBLEM {} line {} : {} [{}] try {:?} labels {:?}",
            p.code,
            s.line(p.place.item),
            p.message,
            p.place.span.of(s.tree().text_of(p.place.item as usize)),
            p.help,
            p.labels.iter().map(|l| &l.text).collect::<Vec<_>>()
        );
    }
    for c in &a.cautions {
        println!("CAUTION {} {} {}", c.function, c.caution.code, c.text);
    }
}
