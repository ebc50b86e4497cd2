//! Random streams: for each source of uncertainty its own, named and seeded.
//!
//! The deviates of a source depend on its name, the seed and the number of the
//! draw, and on nothing else: an input that is added leaves the others' draws
//! alone, cases share theirs, and threads can't change them. Deviates are in
//! standard uncertainties (JCGM 101:2008, 6.4). Start reading at [`deviates`].

use rand_distr::{ChiSquared, Distribution, Open01, StandardNormal};
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::SeedableRng;

use crate::sheet::lanes::{DrawnSource, Spread};

/// How many draws share one beginning of a stream.
pub const CHUNK: usize = 1024;

/// The deviates of a source in the draws of one chunk: one part, or three for a line.
pub fn deviates(source: &DrawnSource, seed: u64, chunk: usize, parts: &mut [Vec<f64>]) {
    let mut stream = Stream::new(&source.stream, seed, chunk);
    for part in parts.iter_mut() {
        part.clear();
        part.extend((0..CHUNK).map(|_| match source.spread {
            Spread::Rectangular => stream.rectangular(),
            Spread::Normal | Spread::Student(_) => stream.normal(),
        }));
    }
    if let Spread::Student(degrees_of_freedom) = source.spread
        && let Ok(chi_squared) = ChiSquared::new(degrees_of_freedom)
    {
        // the parts of a line share what isn't known of its scatter
        let factors: Vec<f64> = (0..CHUNK)
            .map(|_| libm::sqrt(degrees_of_freedom / chi_squared.sample(&mut stream.random)))
            .collect();
        for part in parts {
            part.iter_mut()
                .zip(&factors)
                .for_each(|(deviate, factor)| *deviate *= factor);
        }
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
