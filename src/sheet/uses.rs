//! The worksheets that a worksheet rests on: read, each once, and put behind its own items.
//!
//! A path counts from the folder of the worksheet that names it and may not lead out of it, as
//! with tables from files. What is missing, comes back to itself or is too much is a problem at
//! the worksheet's own `use`; what rests on it waits. Start reading at [`Model::read_uses`].

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::problem::{Code, Place, Problem, Severity};
use crate::syntax::tree::{BEYOND, Node, Quoted, Used, UsedFile, Worksheet};
use crate::syntax::used::Scope;
use crate::syntax::{LONGEST_TEXT, parse};
use crate::text::position;

use super::Sheet;
use super::csv_table::{Files, files_in, located, text_of};
use super::model::{Model, ReadBefore};
use super::names::Named;

/// A worksheet may rest on so many others.
const MOST_FILES: usize = 2_000;

/// What a worksheet calls those it uses: each with the place of the file among those met.
type Leads = BTreeMap<Box<str>, Option<usize>>;

/// A file that was met.
struct Met {
    path: PathBuf,
    name: String,
    prefix: String,
    folder: Option<PathBuf>,
    tree: Arc<Worksheet>,
    leads: Leads,
}

/// Files as they are met, one after the other.
struct Meeting<'a> {
    model: &'a Model,
    before: ReadBefore,
    met: Vec<Met>,
    places: HashMap<PathBuf, usize>,
    /// Each `use` of the worksheet, by its name.
    lines: HashMap<Box<str>, Place>,
    bytes: usize,
    /// What was said at each `use` of the worksheet.
    problems: Vec<Problem>,
    said: BTreeSet<u32>,
}

impl Model {
    /// Reads the worksheets that this one rests on.
    pub(super) fn read_uses(&mut self) {
        self.broken_uses.clear();
        self.used_problems.clear();
        if self.tree.uses.is_empty() {
            if !self.tree.used.files.is_empty() {
                Arc::make_mut(&mut self.tree).used = Arc::default();
            }
            self.read_before.clear();
            return;
        }
        let mut meeting = Meeting {
            model: self,
            before: self.read_before.clone(),
            met: Vec::new(),
            places: HashMap::new(),
            lines: HashMap::new(),
            bytes: 0,
            problems: Vec::new(),
            said: BTreeSet::new(),
        };
        let mut leads = meeting.all();
        let looping = meeting.looping(&leads);
        meeting.cut(&looping, &mut leads);
        let used = meeting.used();
        let (met, problems) = (meeting.met, meeting.problems);
        self.used_problems = problems;
        self.read_before = met
            .iter()
            .map(|met| (met.path.clone(), Arc::clone(&met.tree)))
            .collect();
        let prefix = |place: usize| met.get(place).map(|met| met.prefix.clone());
        self.lead_to = leads
            .iter()
            .filter_map(|(name, place)| Some((name.clone(), prefix((*place)?)?)))
            .collect();
        if !same(&used, &self.tree.used) {
            Arc::make_mut(&mut self.tree).used = Arc::new(used);
        }
        self.broken_uses = self
            .tree
            .every_item()
            .filter_map(|(item, found)| {
                let Node::Use(line) = &found.node else { return None };
                let broken = match item < BEYOND {
                    true => !self.lead_to.contains_key(&*line.name.text),
                    false => self
                        .tree
                        .used
                        .file_of(item)
                        .is_none_or(|file| !file.uses.contains_key(file.own_name(&line.name.text))),
                };
                broken.then_some(item)
            })
            .collect();
    }

    /// The `use` that a name goes through: `yard` of `yard.price`, with whether that can't be
    /// read.
    pub(super) fn use_of(&self, name: &str) -> Option<(u32, bool)> {
        let (before, _) = name.rsplit_once('.')?;
        match self.names.get(before) {
            Some(Named::Use(item)) => Some((item, self.broken_uses.contains(&item))),
            _ => self.use_of(before),
        }
    }

    /// How people are told where an item stands: `line 5`, `line 5 of cylinders.tare`.
    pub(crate) fn standing_at(&self, item: u32) -> String {
        self.tree.standing_at(item, &self.lines)
    }

    /// The file that an item stands in, where it isn't the worksheet itself.
    pub(crate) fn file_of(&self, item: u32) -> Option<&UsedFile> {
        self.tree.used.file_of(item)
    }

    /// The files that the worksheet rests on, with how each is reached from its folder.
    pub fn used_files(&self) -> &[UsedFile] {
        &self.tree.used.files
    }
}

impl Sheet {
    /// One problem at the `use` for each file that has some, in place of them.
    pub(super) fn gathered(&self, problems: Vec<Problem>) -> Vec<Problem> {
        let (mut own, beyond): (Vec<_>, Vec<_>) = problems.into_iter().partition(|problem| problem.place.item < BEYOND);
        let mut by_file: BTreeMap<u32, Vec<Problem>> = BTreeMap::new();
        for problem in beyond
            .into_iter()
            .filter(|problem| problem.severity == Severity::Problem)
        {
            if let Some(file) = self.file_of(problem.place.item) {
                by_file.entry(file.first).or_default().push(problem);
            }
        }
        own.extend(
            by_file
                .into_iter()
                .filter_map(|(first, found)| self.of_file(first, &found)),
        );
        for problem in &mut own {
            problem.labels.retain(|label| label.place.item < BEYOND);
        }
        own
    }

    fn of_file(&self, first: u32, found: &[Problem]) -> Option<Problem> {
        let file = self.file_of(first)?;
        let problem = found
            .iter()
            .min_by_key(|problem| (problem.place.item, problem.place.span.start))?;
        let Some(Named::Use(item)) = self.names.get(file.by()) else {
            return None;
        };
        let item_text = self.tree.text_of(problem.place.item as usize);
        let within = position(item_text, problem.place.span.start as usize).line - 1;
        let line = self.line(problem.place.item) + within;
        let message = match found.len() {
            1 => format!("`{}` has a problem in line {line}: {}", file.name, problem.message),
            many => format!(
                "`{}` has {many} problems, the first in line {line}: {}",
                file.name, problem.message
            ),
        };
        let place = Place::new(item, self.use_line(item)?.span);
        Some(
            Problem::new(Code::UsedFile, message, place)
                .help(format!("`tarebook check {}` tells what to mend there", file.name)),
        )
    }

    fn use_line(&self, item: u32) -> Option<&Quoted> {
        match self.tree.node(item)? {
            Node::Use(line) => Some(&line.path),
            _ => None,
        }
    }
}

/// Whether nothing that a model was made from is another.
fn same(one: &Used, other: &Used) -> bool {
    let files = one.files.iter().zip(&other.files);
    one.files.len() == other.files.len()
        && files.into_iter().all(|(one, other)| {
            one.name == other.name
                && one.prefix == other.prefix
                && one.folder == other.folder
                && one.uses == other.uses
                && one.sheet.text == other.sheet.text
        })
}

impl Meeting<'_> {
    /// Follows every `use`, breadth first, so that a file is named by the shortest way to it.
    fn all(&mut self) -> Leads {
        let tree = &self.model.tree;
        let mut leads = Leads::new();
        for (item, line) in (0u32..).zip(&tree.items) {
            if let Node::Use(line) = &line.node
                && !leads.contains_key(&*line.name.text)
            {
                let files = self.model.files();
                let place = Place::new(item, line.path.span);
                self.lines.insert((*line.name.text).into(), place);
                let found = self.meet(files, &line.path, place, format!("{}.", line.name.text), None);
                leads.insert((*line.name.text).into(), found);
            }
        }
        let mut at = 0;
        while at < self.met.len() {
            self.follow(at);
            at += 1;
        }
        leads
    }

    fn follow(&mut self, at: usize) {
        let Some(met) = self.met.get(at) else { return };
        let (tree, prefix, name) = (Arc::clone(&met.tree), met.prefix.clone(), met.name.clone());
        let folder = met.folder.clone();
        let files = files_in(folder.as_deref(), self.model.files());
        let Some(by) = self.by(&prefix) else { return };
        let mut leads = Leads::new();
        for line in tree.items.iter().filter_map(|item| match &item.node {
            Node::Use(line) => Some(line),
            _ => None,
        }) {
            if !leads.contains_key(&*line.name.text) {
                let prefix = format!("{prefix}{}.", line.name.text);
                let found = self.meet(files, &line.path, by, prefix, Some(&name));
                leads.insert((*line.name.text).into(), found);
            }
        }
        if let Some(met) = self.met.get_mut(at) {
            met.leads = leads;
        }
    }

    /// The worksheet's own `use` by which names with that beginning are reached.
    fn by(&self, prefix: &str) -> Option<Place> {
        self.lines.get(prefix.split('.').next()?).copied()
    }

    /// The place of a file among those met; none where it can't be read, which is said.
    fn meet(
        &mut self,
        files: Files<'_>,
        path: &Quoted,
        place: Place,
        prefix: String,
        by: Option<&str>,
    ) -> Option<usize> {
        let found =
            located(files, &path.text, place).and_then(|file| self.read(files, &path.text, file, place, prefix, by));
        match found {
            Ok(found) => Some(found),
            Err(mut problem) => {
                if let Some(by) = by {
                    problem.message = format!("`{by}`, which this rests on: {}", problem.message);
                }
                self.say(*problem);
                None
            }
        }
    }

    fn read(
        &mut self,
        files: Files<'_>,
        written: &str,
        path: PathBuf,
        place: Place,
        prefix: String,
        by: Option<&str>,
    ) -> Result<usize, Box<Problem>> {
        if let Some(known) = self.places.get(&path) {
            return Ok(*known);
        }
        let too_much = |message: String| Box::new(Problem::new(Code::FileTooLong, message, place));
        if self.met.len() >= MOST_FILES {
            return Err(too_much(format!(
                "a worksheet rests on {MOST_FILES} others at most, and this is one more"
            )));
        }
        let text = text_of(files, written).map_err(|mut problem| {
            problem.place = place;
            problem
        })?;
        self.bytes += text.len();
        if self.bytes > LONGEST_TEXT {
            let most = LONGEST_TEXT >> 20;
            return Err(too_much(format!(
                "the worksheets that this one rests on are longer than {most} MiB together"
            )));
        }
        let tree = match self.before.remove(&path) {
            Some(tree) if tree.text == text => tree,
            _ => Arc::new(parse(text)),
        };
        let name = match by.and_then(|by| by.rsplit_once('/')) {
            Some((folder, _)) => format!("{folder}/{written}"),
            None => written.to_owned(),
        };
        self.places.insert(path.clone(), self.met.len());
        self.met.push(Met {
            folder: path.parent().filter(|_| path.is_absolute()).map(Path::to_owned),
            path,
            name,
            prefix,
            tree,
            leads: Leads::new(),
        });
        Ok(self.met.len() - 1)
    }

    /// Says one thing at each `use`, the first.
    fn say(&mut self, problem: Problem) {
        if self.said.insert(problem.place.item) {
            self.problems.push(problem);
        }
    }

    /// The files on the ways that come back to themselves; each such way is told.
    fn looping(&mut self, leads: &Leads) -> BTreeSet<usize> {
        #[derive(Clone, Copy, PartialEq)]
        enum Seen {
            No,
            OnTheWay,
            Done,
        }
        let mut seen = vec![Seen::No; self.met.len()];
        let mut looping = BTreeSet::new();
        let mut ways = Vec::new();
        for start in leads.values().flatten() {
            // each step with those that are still to be followed from it
            let mut way: Vec<(usize, Vec<usize>)> = Vec::new();
            let mut next = Some(*start);
            loop {
                if let Some(at) = next.take() {
                    match seen.get(at) {
                        Some(Seen::No) => {
                            if let Some(place) = seen.get_mut(at) {
                                *place = Seen::OnTheWay;
                            }
                            way.push((at, self.led_to(at)));
                        }
                        Some(Seen::OnTheWay) => {
                            let path: Vec<usize> = way.iter().map(|(step, _)| *step).collect();
                            let from = path.iter().position(|step| *step == at).unwrap_or(0);
                            let path = path.get(from..).unwrap_or_default().to_vec();
                            looping.extend(path.iter().copied());
                            ways.push(path);
                        }
                        _ => {}
                    }
                }
                let Some((at, rest)) = way.last_mut() else { break };
                next = rest.pop();
                if next.is_none() {
                    if let Some(place) = seen.get_mut(*at) {
                        *place = Seen::Done;
                    }
                    way.pop();
                }
            }
        }
        for path in ways {
            self.tell_loop(&path);
        }
        looping
    }

    fn led_to(&self, at: usize) -> Vec<usize> {
        self.met
            .get(at)
            .map_or_else(Vec::new, |met| met.leads.values().rev().flatten().copied().collect())
    }

    fn tell_loop(&mut self, path: &[usize]) {
        let names = path.iter().chain(path.first()).filter_map(|at| self.met.get(*at));
        let names: Vec<String> = names.map(|met| format!("`{}`", met.name)).collect();
        let Some(first) = path.first().and_then(|at| self.met.get(*at)) else {
            return;
        };
        let Some(place) = self.by(&first.prefix) else { return };
        let message = match names.as_slice() {
            [one, _] => format!("{one} rests on itself"),
            [first, .., last, _] if names.len() > 12 => {
                format!("these worksheets rest on each other: {first} → … → {last} → {first}")
            }
            _ => format!("these worksheets rest on each other: {}", names.join(" → ")),
        };
        let problem = Problem::new(Code::UseLoop, message, place);
        self.say(problem.help("take one of these `use` lines out, and write down there what it needs"));
    }

    /// Leaves out what loops: nothing leads there.
    fn cut(&mut self, looping: &BTreeSet<usize>, leads: &mut Leads) {
        if looping.is_empty() {
            return;
        }
        let all = self.met.iter_mut().map(|met| &mut met.leads).chain([leads]);
        for place in all.flat_map(BTreeMap::values_mut) {
            *place = place.filter(|place| !looping.contains(place));
        }
        for at in looping {
            if let Some(met) = self.met.get_mut(*at) {
                met.tree = Arc::default();
            }
        }
    }

    /// The files with their names as they are here.
    fn used(&self) -> Used {
        let mut first = BEYOND;
        let files = self.met.iter().map(|met| {
            let prefix = |place: &Option<usize>| Some(self.met.get((*place)?)?.prefix.clone());
            let leads = met.leads.iter();
            let uses = leads
                .filter_map(|(name, place)| Some((name.clone(), prefix(place)?)))
                .collect();
            let mut sheet = Worksheet::clone(&met.tree);
            let scope = Scope {
                prefix: &met.prefix,
                uses: &uses,
            };
            scope.qualify(&mut sheet);
            let file = UsedFile {
                name: met.name.clone(),
                prefix: met.prefix.clone(),
                folder: met.folder.clone(),
                first,
                lines: sheet.line_numbers(),
                sheet,
                uses,
            };
            first = first.saturating_add(u32::try_from(file.sheet.items.len()).unwrap_or(u32::MAX));
            file
        });
        Used { files: files.collect() }
    }
}
