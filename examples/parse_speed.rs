fn main() {
    let lines = "# Ridge\n\nquoted   tare        = 24.6 lb ± 0.2 lb      from \"collar stamp, TW\"\nmeasured gross       = 51.9 lb ± 0.05 lb     from \"hook scale, hose off\"\nworked   fuel [lb]   = net_contents(gross, tare)\nexpect   fuel <= fill_limit(capacity)        else \"overfilled: stand clear\"\nassumed  price       = $3.89/gal             from \"supplier's board, December\"\nanswer   runtime \"by weight\" [h:min] = (fuel - swap_at) / rate\nanswer   cost [$/h]         = rate / propane_density(60 °F) * price\n> Two nights on the small set.\n";
    let text = lines.repeat(10_000);
    let n = text.lines().count();
    for _ in 0..5 {
        let t = text.clone();
        let at = std::time::Instant::now();
        let sheet = tarebook::syntax::parse(t);
        let ns = at.elapsed().as_nanos() as f64 / n as f64;
        println!(
            "{ns:.0} ns/line, {} items, {} problems",
            sheet.items.len(),
            sheet.items.iter().map(|i| i.problems.len()).sum::<usize>()
        );
    }
}
