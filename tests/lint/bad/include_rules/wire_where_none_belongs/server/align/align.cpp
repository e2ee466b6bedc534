#include "fixwright/query/v1/query.pb.h"
