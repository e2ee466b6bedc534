#pragma once
#include <unknown/thing.hpp>
