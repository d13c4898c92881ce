#include "backing/impulse_response.h"

namespace endpin::listen {
namespace {

constexpr int steps = 4;              // a round; the rounds go on from one another (ours)
constexpr float least_power = 1e-2F;  // of the mean: what preconditions (ours)

double dot(const std::vector<float>& a, const std::vector<float>& b) {
  double sum = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    sum += static_cast<double>(a[i]) * static_cast<double>(b[i]);
  }
  return sum;
}

}  // namespace

ImpulseResponse::ImpulseResponse(TwoWayFft& fft, std::vector<float> ridge)
    : fft_(&fft), ridge_(std::move(ridge)) {
  for (auto* v : {&h_, &residual_, &conditioned_, &towards_, &product_}) v->resize(fft.size());
  for (auto* v : {&real_, &imaginary_, &own_real_, &own_imaginary_}) v->resize(fft.bins());
}

void ImpulseResponse::apply(std::span<const float> power, const std::vector<float>& h) {
  fft_->forward(h, own_real_, own_imaginary_);
  for (std::size_t k = 0; k < power.size(); ++k) {
    own_real_[k] *= power[k], own_imaginary_[k] *= power[k];
  }
  fft_->inverse(own_real_, own_imaginary_, product_);
  for (std::size_t i = 0; i < h.size(); ++i) {
    product_[i] = ridge_[i] < 0 ? 0 : product_[i] + mean_ * ridge_[i] * h[i];
  }
}

double ImpulseResponse::precondition(std::span<const float> power) {
  fft_->forward(residual_, own_real_, own_imaginary_);
  for (std::size_t k = 0; k < power.size(); ++k) {
    const float by = 1 / (power[k] + least_power * mean_);
    own_real_[k] *= by, own_imaginary_[k] *= by;
  }
  fft_->inverse(own_real_, own_imaginary_, conditioned_);
  for (std::size_t i = 0; i < ridge_.size(); ++i) {
    if (ridge_[i] < 0) conditioned_[i] = 0;
  }
  return dot(conditioned_, residual_);
}

void ImpulseResponse::step(std::span<const float> power) {
  apply(power, towards_);
  const double along = dot(towards_, product_);
  if (!(along > 0) || !(size_ > 0)) return;
  const auto far = static_cast<float>(size_ / along);
  for (std::size_t i = 0; i < h_.size(); ++i) {
    h_[i] += far * towards_[i];
    residual_[i] -= far * product_[i];
  }
  const double next = precondition(power);
  const auto keep = static_cast<float>(next / size_);
  for (std::size_t i = 0; i < h_.size(); ++i) towards_[i] = conditioned_[i] + keep * towards_[i];
  size_ = next;
}

void ImpulseResponse::improve(std::span<const float> cross_real,
                              std::span<const float> cross_imaginary,
                              std::span<const float> power) {
  double sum = 0;
  for (const float p : power) sum += static_cast<double>(p);
  mean_ = static_cast<float>(sum / static_cast<double>(power.size()));
  if (!(mean_ > 0)) return;
  apply(power, h_);
  fft_->inverse(cross_real, cross_imaginary, residual_);
  for (std::size_t i = 0; i < h_.size(); ++i) {
    residual_[i] = ridge_[i] < 0 ? 0 : residual_[i] - product_[i];
  }
  size_ = precondition(power);
  towards_ = conditioned_;
  for (int i = 0; i < steps; ++i) step(power);
  fft_->forward(h_, real_, imaginary_);
}

}  // namespace endpin::listen
