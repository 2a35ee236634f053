//! Nothing of its own: the benchmarks and tests beside this file are what the package is for.
