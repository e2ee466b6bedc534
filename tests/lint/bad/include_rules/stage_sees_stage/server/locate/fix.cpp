#include "server/align/align.hpp"
