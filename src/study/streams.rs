//! Random streams: for each source of uncertainty its own, named and seeded.
//!
//! The deviates of a source depend on its name, the seed and the number of the
//! draw, and on nothing else: an input that is added leaves the others' draws
//! alone, cases share theirs, and threads can't change them. Deviates are in
//! standard uncertainties (JCGM 101:2008, 6.4). Start reading at [`Streams`].

use rand_distr::{ChiSquared, Distribution, Open01, StandardNormal};
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::SeedableRng;

use crate::sheet::lanes::{BeyondReadings, Chance, DrawnSource, Scattered, Spread};

/// How many draws share one beginning of a stream.
const CHUNK: usize = 1024;
/// So many deviates are held at once at most; of very many sources fewer draws share a beginning.
const MOST_HELD: usize = 8_388_608;

/// How many draws share one beginning of a stream where there are so many sources.
pub(crate) fn chunk_for(sources: usize) -> usize {
    (MOST_HELD / sources.max(1)).clamp(1, CHUNK)
}

/// The streams of one chunk of draws: what several sources ask for is kept.
pub(super) struct Streams {
    seed: u64,
    chunk: usize,
    draws: usize,
    /// How a scatter came out last, by the name of its stream.
    chances: Vec<(String, Vec<f64>)>,
}

/// So many scatters are kept: that of a column and that of a line through it.
const KEPT: usize = 2;

impl Streams {
    /// The streams of that chunk of so many draws.
    pub(super) fn new(seed: u64, chunk: usize, draws: usize) -> Streams {
        Streams {
            seed,
            chunk,
            draws,
            chances: Vec::new(),
        }
    }

    /// The deviates of a source: one part, or one for each part of a fit.
    pub(super) fn deviates(&mut self, source: &DrawnSource, parts: &mut [Vec<f64>]) {
        let mut stream = Stream::new(&source.stream, self.seed, self.chunk);
        for part in parts.iter_mut() {
            part.clear();
            stream.fill(&source.spread, self.draws, part);
        }
        let size = match &source.spread {
            Spread::Scattered(scattered) => return self.scatter(scattered, source.standard, &mut stream, parts),
            Spread::Beyond(beyond) => self.beyond(beyond, source.standard),
            _ => return,
        };
        for part in parts {
            part.iter_mut().zip(&size).for_each(|(deviate, size)| *deviate *= size);
        }
    }

    /// What was declared, and beside it what is beyond that.
    fn scatter(&mut self, scattered: &Scattered, standard: f64, stream: &mut Stream, parts: &mut [Vec<f64>]) {
        let declared = f64::sqrt(scattered.declared) / standard;
        let chance = self.chance(&scattered.chance);
        for (part, times) in parts.iter_mut().flatten().zip(chance) {
            let excess = scattered.excess * scattered.chance.of_excess(*times);
            *part = declared * *part + f64::sqrt(excess) / standard * stream.normal();
        }
    }

    /// How large what a fit has beyond its readings is in each draw.
    fn beyond(&mut self, beyond: &BeyondReadings, standard: f64) -> Vec<f64> {
        let of_column = beyond.of_column.as_ref().map(|chance| self.chance(chance).to_vec());
        let own = self.chance(&beyond.own);
        let size = own.iter().enumerate().map(|(draw, own)| {
            let column = of_column.as_ref().and_then(|column| column.get(draw));
            f64::sqrt(beyond.variance(*own, column.copied().unwrap_or(1.0))) / standard
        });
        size.collect()
    }

    /// How many times as large a variance is in each draw as it was found to be.
    fn chance(&mut self, chance: &Chance) -> &[f64] {
        let known = self.chances.iter().position(|(stream, _)| *stream == chance.stream);
        let place = known.unwrap_or_else(|| {
            if self.chances.len() >= KEPT {
                self.chances.remove(0);
            }
            let mut stream = Stream::new(&chance.stream, self.seed, self.chunk);
            let times = stream.variances(chance.degrees_of_freedom, self.draws);
            self.chances.push((chance.stream.clone(), times));
            self.chances.len() - 1
        });
        self.chances.get(place).map_or(&[], |(_, times)| times)
    }
}

/// One chunk of a stream.
struct Stream {
    random: Pcg64Mcg,
}

impl Stream {
    fn new(name: &str, seed: u64, chunk: usize) -> Stream {
        let chunk = u64::try_from(chunk).unwrap_or(u64::MAX);
        let numbers = seed.to_le_bytes().into_iter().chain(chunk.to_le_bytes());
        let start = numbers
            .chain(name.bytes())
            .fold(FIRST, |sum, byte| (sum ^ u64::from(byte)).wrapping_mul(PRIME));
        Stream {
            random: Pcg64Mcg::seed_from_u64(start),
        }
    }

    /// The deviates of one part, as they are declared.
    fn fill(&mut self, spread: &Spread, draws: usize, part: &mut Vec<f64>) {
        match spread {
            Spread::Rectangular => part.extend((0..draws).map(|_| self.rectangular())),
            Spread::Normal | Spread::Beyond(_) => part.extend((0..draws).map(|_| self.normal())),
            Spread::Scattered(scattered) => self.fill(&scattered.spread, draws, part),
            Spread::Student(degrees_of_freedom) => {
                part.extend((0..draws).map(|_| self.normal()));
                let times = self.variances(*degrees_of_freedom, draws);
                let both = part.iter_mut().zip(times);
                both.for_each(|(deviate, times)| *deviate *= f64::sqrt(times));
            }
        }
    }

    /// A variance that is known with so many degrees of freedom, over what it was found to be.
    fn variances(&mut self, degrees_of_freedom: f64, draws: usize) -> Vec<f64> {
        match ChiSquared::new(degrees_of_freedom)
            .ok()
            .filter(|_| degrees_of_freedom.is_finite())
        {
            Some(chi_squared) => (0..draws)
                .map(|_| degrees_of_freedom / chi_squared.sample(&mut self.random))
                .collect(),
            None => vec![1.0; draws],
        }
    }

    /// Even over ±√3, so that its standard deviation is 1.
    fn rectangular(&mut self) -> f64 {
        let even: f64 = Open01.sample(&mut self.random);
        (2.0 * even - 1.0) * ROOT_3
    }

    fn normal(&mut self) -> f64 {
        StandardNormal.sample(&mut self.random)
    }
}

const ROOT_3: f64 = 1.732_050_807_568_877_2;
/// The Fowler–Noll–Vo hash, 64 bits: a published way to make a number of bytes.
const FIRST: u64 = 0xcbf2_9ce4_8422_2325;
const PRIME: u64 = 0x0000_0100_0000_01b3;
