#pragma once

namespace fixwright::align {

/// How long align waits, and what ends a transmission. All in seconds.
struct AlignRules {
  double slack_s = 2.0;       // a station's watermark stays this far behind its word; >= 0
  double idle_s = 10.0;       // without a message for this long, a station is not waited for; > 0
  double all_idle_s = 60.0;   // with every station idle: this far behind the server's clock; > 0
  double gap_s = 2.0;         // a longer pause ends a transmission; > 0
  double max_length_s = 5.0;  // a longer stretch of activity is cut here; > 0
  double lateness_s = 60.0;   // bearings may come this far behind the watermark; >= 0
};

}  // namespace fixwright::align
