-- Functions over the views: they see what their caller may see.

-- The bell over the disc is an integral along its rim, by Green's theorem: with q = (x^2 + y^2) / 2
-- in units of sigma, P = 1/(2 pi) * contour integral of (1 - e^-q) / (2 q) * (x dy - y dx). The
-- integrand is smooth and periodic, so equal steps converge faster than any power of their number.
-- An axis below a 2000th of the radius counts as that: 16064 steps at most.
CREATE OR REPLACE FUNCTION disc_probability(east_m double precision, north_m double precision,
    covariance_ee_m2 double precision, covariance_en_m2 double precision,
    covariance_nn_m2 double precision, radius_m double precision) RETURNS double precision
LANGUAGE plpgsql IMMUTABLE STRICT PARALLEL SAFE AS $$
DECLARE
    half double precision := (covariance_ee_m2 - covariance_nn_m2) / 2;
    large_m2 double precision := (covariance_ee_m2 + covariance_nn_m2) / 2
                                 + sqrt(half * half + covariance_en_m2 * covariance_en_m2);
    turn double precision := atan2(covariance_en_m2, half) / 2;
    s1 double precision := greatest(sqrt(large_m2), radius_m / 2000);
    s2 double precision := greatest(radius_m / 2000,
        sqrt((covariance_ee_m2 * covariance_nn_m2 - covariance_en_m2 * covariance_en_m2) / large_m2));
    u double precision := (east_m * cos(turn) + north_m * sin(turn)) / s1;
    v double precision := (north_m * cos(turn) - east_m * sin(turn)) / s2;
    a double precision := radius_m / s1;
    b double precision := radius_m / s2;
    n integer := 64 + ceil(8 * b);
BEGIN
    -- x = u + a cos t, y = v + b sin t; x dy - y dx = (a b + u b cos t + v a sin t) dt.
    RETURN (SELECT least(1, greatest(0, sum(
                (a * b + u * b * c + v * a * s) *
                CASE WHEN q < 1e-4 THEN (1 - q / 2 + q * q / 6) / 2
                     ELSE (1 - exp(-least(q, 700))) / (2 * q) END) / n))
            FROM (SELECT c, s, ((u + a * c) * (u + a * c) + (v + b * s) * (v + b * s)) / 2 AS q
                  FROM (SELECT cos(2 * pi() / n * i) AS c, sin(2 * pi() / n * i) AS s
                        FROM generate_series(1, n) AS i OFFSET 0) AS angle OFFSET 0) AS rim);
END $$;
COMMENT ON FUNCTION disc_probability(double precision, double precision, double precision, double precision, double precision, double precision) IS
    'That a place with this normal error lies within radius_m (> 0) of a point east_m, north_m away from its most likely one; m and m^2.';

-- The region beyond six sigmas of a disc holds less than 2e-8.
CREATE OR REPLACE FUNCTION emitters_near(latitude_deg double precision,
    longitude_deg double precision, radius_m double precision)
RETURNS TABLE (channel_id bigint, emitter_id bigint, name text, state text, last_heard timestamptz,
               distance_m double precision, within double precision, ellipse double precision,
               region_kind text, "position" geometry(Point, 4326))
LANGUAGE sql STABLE AS $$
    SELECT e.channel_id, e.emitter_id, e.name, e.state, e.last_heard, d.distance_m, p.within,
           1 - exp(-least(700, (o.east_m ^ 2 * e.covariance_nn_m2
                    - 2 * o.east_m * o.north_m * e.covariance_en_m2
                    + o.north_m ^ 2 * e.covariance_ee_m2)
                   / (e.covariance_ee_m2 * e.covariance_nn_m2 - e.covariance_en_m2 ^ 2) / 2)),
           e.region_kind, e.position
    FROM emitter_latest AS e
    CROSS JOIN (SELECT ST_SetSRID(ST_MakePoint(longitude_deg, latitude_deg), 4326)::geography
                       AS point) AS g
    CROSS JOIN LATERAL (SELECT ST_Distance(e.position::geography, g.point) AS distance_m,
                               coalesce(ST_Azimuth(e.position::geography, g.point), 0) AS azimuth) AS d
    CROSS JOIN LATERAL (SELECT d.distance_m * sin(d.azimuth) AS east_m,
                               d.distance_m * cos(d.azimuth) AS north_m) AS o
    CROSS JOIN LATERAL (SELECT disc_probability(o.east_m, o.north_m, e.covariance_ee_m2,
                                   e.covariance_en_m2, e.covariance_nn_m2, radius_m) AS within
                        OFFSET 0) AS p
    WHERE e.refusal = 'none'
      AND d.distance_m <= radius_m + 6 * sqrt(e.covariance_ee_m2 + e.covariance_nn_m2)
$$;
COMMENT ON FUNCTION emitters_near(double precision, double precision, double precision) IS
    'Emitters around a point: within is the probability that the emitter lies no farther than radius_m from it, ellipse the probability of the smallest error ellipse that reaches the point. Evidence, never proof.';

-- A transmission is at most 600 s long (align.max_length_s), and its fix lies inside it.
CREATE OR REPLACE FUNCTION on_the_air(since timestamptz, until timestamptz)
RETURNS TABLE (channel_id bigint, emitter_id bigint, first_at timestamptz, last_at timestamptz,
               transmissions bigint)
LANGUAGE sql STABLE AS $$
    SELECT h.channel_id, h.emitter_id, min(t.start_at), max(t.end_at),
           count(DISTINCT t.transmission_id)
    FROM (SELECT DISTINCT b.channel_id, b.emitter_id FROM emitter_by_hour AS b
          WHERE b.hour >= date_bin('1 hour', since, '2000-01-01 00:00Z') AND b.hour <= until) AS h
    JOIN fix_latest AS f ON f.channel_id = h.channel_id AND f.emitter_id = h.emitter_id
                        AND f.valid_at BETWEEN since - interval '600 s' AND until + interval '600 s'
    JOIN transmission_list AS t ON t.channel_id = f.channel_id
                               AND t.transmission_id = f.transmission_id
                               AND t.start_at <= until AND t.end_at >= since
    GROUP BY h.channel_id, h.emitter_id
$$;
COMMENT ON FUNCTION on_the_air(timestamptz, timestamptz) IS
    'Emitters heard in [since, until]: the first start and last end of their transmissions that touch it.';
