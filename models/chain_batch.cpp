#include "models/chain_batch.hpp"

#include <algorithm>
#include <cmath>

#include "models/chain_loops.hpp"
#include "models/infinity.hpp"
#include "models/pipe_function.hpp"

namespace blendrisk::models {
namespace {

/// Cases evaluated at a time, whose columns stay in the nearest cache.
constexpr std::size_t k_chunk = 128;
using Chunk = std::array<double, k_chunk>;

bool any_of(const double* volume, std::size_t n) {
  return volume != nullptr && std::any_of(volume, volume + n, [](double v) { return v > 0.0; });
}

}  // namespace

Chain ChainColumns::chain(std::size_t i) const {
  const auto at = [i](const double* column) { return column == nullptr ? 0.0 : column[i]; };
  return {{at(stirred_l[0]), at(stirred_l[1]), at(stirred_l[2])}, at(pipe_l), pipe};
}

void ChainBatch::prepare(const ChainColumns& chains, std::size_t n) {
  if (n > capacity_) {
    capacity_ = n;
    values_.reset(new double[k_columns * n]);  // written before they are read
  }
  size_ = n;
  pipe_ = chains.pipe;
  const bool has_pipe = any_of(chains.pipe_l, n);
  laminar_ = has_pipe && pipe_ == Pipe::laminar;
  const double part = laminar_ ? 0.5 : 1.0;
  double* begin = column(k_begin);
  for (std::size_t i = 0; i < n; ++i) begin[i] = has_pipe ? part * chains.pipe_l[i] : 0.0;
  prepare_stirred(chains);
  for (std::size_t k = 0; k < count_; ++k) {
    double* at_pipe = column(k_at_pipe + k);
    if (!laminar_) {
      std::fill_n(at_pipe, n, -1.0);
      continue;
    }
    std::vector<double>& place = scratch_;
    place.resize(n);
    loops::places(begin, column(k_rate + k), place.data(), n);
    pipe_function({place.data(), n}, {at_pipe, n});
  }
}

void ChainBatch::prepare_stirred(const ChainColumns& chains) {
  count_ = static_cast<std::size_t>(
      std::count_if(chains.stirred_l.begin(), chains.stirred_l.end(),
                    [this](const double* volume) { return any_of(volume, size_); }));
  std::array<const double*, 3> stirred = chains.stirred_l;
  scratch_.assign(size_, 0.0);
  for (const double*& volume : stirred) {
    if (volume == nullptr) volume = scratch_.data();
  }
  std::array<double*, 3> weight{};
  std::array<double*, 3> rate{};
  for (std::size_t k = 0; k < 3; ++k) {
    weight[k] = column(k_weight + k);
    rate[k] = column(k_rate + k);
  }
  hard_.clear();
  harder_.clear();
  if (!loops::stirred_parts(stirred.data(), weight.data(), rate.data(), size_)) return;
  for (std::size_t i = 0; i < size_; ++i) {
    const auto is_out = [i](const double* w) { return !(std::abs(w[i]) < 1e6); };
    if (std::none_of(weight.begin(), weight.end(), is_out)) continue;
    hard_.push_back(i);
    harder_.emplace_back(chains.chain(i));
  }
}

void ChainBatch::cdf(std::span<const double> q_l, std::span<double> f) const {
  Chunk y;  // NOLINT: written before they are read, all of them
  Chunk h;
  Chunk square;
  Chunk left;
  if (!laminar_) {
    square.fill(0.0);
    h.fill(0.0);
  }
  for (std::size_t from = 0; from < f.size(); from += k_chunk) {
    const std::size_t n = std::min(k_chunk, f.size() - from);
    const double* q = q_l.data() + from;
    const double* begin = column(k_begin) + from;
    if (laminar_) loops::ratios(q, begin, square.data(), n);
    if (count_ == 0) std::fill_n(left.begin(), n, 0.0);
    for (std::size_t k = 0; k < count_; ++k) {
      const double* rate = column(k_rate + k) + from;
      if (laminar_) {
        loops::places(q, rate, y.data(), n);
        pipe_function({y.data(), n}, {h.data(), n});
      }
      loops::add_volume(k == 0, column(k_weight + k) + from, rate, column(k_at_pipe + k) + from,
                        begin, q, square.data(), h.data(), left.data(), n);
    }
    loops::shares(left.data(), square.data(), q, begin, column(k_rate) + from, f.data() + from, n);
  }
  for (std::size_t k = 0; k < hard_.size(); ++k) {
    if (hard_[k] < f.size()) f[hard_[k]] = harder_[k].cdf(q_l[hard_[k]]);
  }
}

double ChainBatch::mean_past(std::size_t i) const {
  double sum = laminar_ ? column(k_begin)[i] : 0.0;
  for (std::size_t k = 0; k < count_; ++k) {
    const double rate = column(k_rate + k)[i];
    sum += rate > 0.0 ? 1.0 / rate : 0.0;
  }
  return sum;
}

/// Cases whose quantiles are being searched, in columns without gaps.
struct ChainBatch::Search {
  std::array<Chunk, k_columns> part;
  Chunk wanted, low, high, q;
  std::array<std::size_t, k_chunk> index;
  std::size_t size = 0;

  /// Keeps those that are not done.
  void keep(const Chunk& done) {
    std::size_t to = 0;
    for (std::size_t i = 0; i < size; ++i) {
      if (done[i] > 0.0) continue;
      if (to < i) {
        for (Chunk& column : part) column[to] = column[i];
        for (Chunk* column : {&wanted, &low, &high, &q}) (*column)[to] = (*column)[i];
        index[to] = index[i];
      }
      ++to;
    }
    size = to;
  }
};

void ChainBatch::search(Search& active, std::span<double> q_l) const {
  Chunk y;  // NOLINT: written before they are read, all of them
  Chunk h;
  Chunk square;
  Chunk left;
  Chunk slope;
  Chunk bend;
  Chunk rates;
  Chunk done;
  const double* begin = active.part[k_begin].data();
  double* q = active.q.data();
  loops::start(begin, active.wanted.data(), q, active.size);
  if (!laminar_) {
    square.fill(0.0);
    h.fill(0.0);
  }
  for (int steps = 0; steps < 200 && active.size > 0; ++steps) {
    const std::size_t n = active.size;
    if (laminar_) loops::ratios(q, begin, square.data(), n);
    for (std::size_t k = 0; k < count_; ++k) {
      const double* rate = active.part[k_rate + k].data();
      if (laminar_) {
        loops::places(q, rate, y.data(), n);
        pipe_function({y.data(), n}, {h.data(), n});
      }
      loops::add_moving_volume(k == 0, active.part[k_weight + k].data(), rate,
                               active.part[k_at_pipe + k].data(), begin, q, square.data(), h.data(),
                               left.data(), slope.data(), bend.data(), rates.data(), n);
    }
    if (laminar_) {
      loops::add_moving_pipe(square.data(), q, rates.data(), left.data(), bend.data(), n);
    }
    loops::step(active.wanted.data(), begin, left.data(), slope.data(), bend.data(),
                active.low.data(), active.high.data(), q, done.data(), n);
    for (std::size_t i = 0; i < n; ++i) q_l[active.index[i]] = q[i];
    active.keep(done);
  }
}

void ChainBatch::quantile(std::span<const double> share, std::span<double> q_l) const {
  const std::size_t n = share.size();
  Search active;  // NOLINT: written before it is read
  const double* begin = column(k_begin);
  const double* rate = column(k_rate);
  auto hard = hard_.begin();
  for (std::size_t i = 0; i < n; ++i) {
    const bool is_hard = hard != hard_.end() && *hard == i;
    if (is_hard) ++hard;
    const bool empty = rate[i] == 0.0;
    if (!(share[i] > (empty && begin[i] == 0.0 ? 1.0 : 0.0))) {
      q_l[i] = 0.0;
    } else if (share[i] >= 1.0) {
      q_l[i] = k_infinity;
    } else if (empty) {
      q_l[i] = laminar_ ? begin[i] / std::sqrt(1.0 - share[i]) : begin[i];
    } else if (is_hard) {
      q_l[i] = harder_[static_cast<std::size_t>(hard - hard_.begin()) - 1].quantile(share[i]);
    } else {
      const std::size_t to = active.size++;
      for (std::size_t k = 0; k < k_columns; ++k) active.part[k][to] = column(k)[i];
      active.wanted[to] = 1.0 - share[i];
      active.low[to] = begin[i];
      active.high[to] = k_infinity;
      active.q[to] = mean_past(i);
      active.index[to] = i;
    }
    if (active.size == k_chunk || i + 1 == n) search(active, q_l);
  }
}

}  // namespace blendrisk::models
