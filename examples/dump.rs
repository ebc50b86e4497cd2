//! Prints a worksheet's report.
use tarebook::report::{
    Style,
    build::{Options, report},
    drawing, place, terminal,
};
use tarebook::sheet::Sheet;
fn main() {
    let path = std::env::args().nth(1).unwrap();
    let text = std::fs::read_to_string(&path).unwrap();
    let mut s = Sheet::load(text, std::path::Path::new(&path).parent().map(|p| p.to_path_buf()));
    if let Some(c) = std::env::args().nth(2) {
        s.set_case(Some(&c)).unwrap();
    }
    let style = Style {
        colour: false,
        width: 80,
    };
    let r = report(&s, Options::default());
    println!("{}", terminal::write(&r, style));
    for p in s.problems() {
        println!("{}", drawing::draw(&place::drawn(&p, s.tree(), "ridge.tare"), style));
    }
}
