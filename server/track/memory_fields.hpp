#pragma once
/// Every field of what is remembered, in a fixed order. A field that is added and not named here
/// doesn't compile; one that is named makes older memories unreadable, which they say.

#include "server/track/emitter_record.hpp"

namespace fixwright::track {

template <typename Visit>
void each_field(Visit& visit, GeoPoint& v) {
  auto& [latitude, longitude] = v;
  visit(latitude, longitude);
}

template <typename Visit>
void each_field(Visit& visit, EnCovariance& v) {
  auto& [ee, en, nn] = v;
  visit(ee, en, nn);
}

template <typename Visit>
void each_field(Visit& visit, ErrorEllipse& v) {
  auto& [major, minor, orientation, probability] = v;
  visit(major, minor, orientation, probability);
}

template <typename Visit>
void each_field(Visit& visit, PooledVerdict& v) {
  auto& [residual, weight, used, alternative] = v;
  visit(residual, weight, used, alternative);
}

template <typename Visit>
void each_field(Visit& visit, CrossFix& v) {
  auto& [refusal, grade, position, covariance, ellipse, kind, region, open, chi_square, freedom, p,
         crossing, iterations, verdicts] = v;
  visit(refusal, grade, position, covariance, ellipse, kind, region, open, chi_square, freedom, p,
        crossing, iterations, verdicts);
}

template <typename Visit>
void each_field(Visit& visit, Velocity& v) {
  auto& [speed, course, sigma] = v;
  visit(speed, course, sigma);
}

template <typename Visit>
void each_field(Visit& visit, EmitterKey& v) {
  auto& [channel, id] = v;
  visit(channel, id);
}

template <typename Visit>
void each_field(Visit& visit, Emitter& v) {
  auto& [key, revision, state, motion, fix, velocity, valid_at, frequency, first, last, bearings,
         looks, stations] = v;
  visit(key, revision, state, motion, fix, velocity, valid_at, frequency, first, last, bearings,
        looks, stations);
}

template <typename Visit>
void each_field(Visit& visit, BearingOnlyKey& v) {
  auto& [channel, id, station] = v;
  visit(channel, id, station);
}

template <typename Visit>
void each_field(Visit& visit, BearingOnly& v) {
  auto& [key, revision, state, position, azimuth, sigma, frequency, first, last, bearings,
         transmissions, emitter] = v;
  visit(key, revision, state, position, azimuth, sigma, frequency, first, last, bearings,
        transmissions, emitter);
}

template <typename Visit>
void each_field(Visit& visit, LoneLine& v) {
  auto& [shown, weight] = v;
  visit(shown, weight);
}

template <typename Visit>
void each_field(Visit& visit, MotionState& v) {
  auto& [position, at, speed, sites, site, error, covariance] = v;
  visit(position, at, speed, sites, site, error, covariance);
}

template <typename Visit>
void each_field(Visit& visit, EmitterRecord::Surely& v) {
  auto& [first, last, pause, count] = v;
  visit(first, last, pause, count);
}

/// Not since_point: after a stop a track begins anew.
template <typename Visit>
void each_field(Visit& visit, EmitterRecord& v) {
  auto& [shown, sums, resting, moving, steady, moving_ratio, over_steady, since, transmissions,
         surely, habits, scatter, merge_from, distinct, since_point] = v;
  visit(shown, sums, resting, moving, steady, moving_ratio, over_steady, since, transmissions,
        surely, habits, scatter, merge_from, distinct);
}

/// Classes that keep their fields to themselves name them themselves.
template <typename Visit, typename T>
requires requires(Visit& visit, T& v) { v.each_field(visit); }
void each_field(Visit& visit, T& v) { v.each_field(visit); }

}  // namespace fixwright::track
