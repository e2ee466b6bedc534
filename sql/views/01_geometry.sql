-- Functions that draw what the tables store as numbers. Every result has SRID 4326.

-- A shape that crosses the antimeridian is cut there, as RFC 7946 section 3.1.9 asks.
CREATE OR REPLACE FUNCTION cut_at_antimeridian(shape geometry) RETURNS geometry
LANGUAGE sql IMMUTABLE STRICT PARALLEL SAFE AS $$
    SELECT CASE WHEN ST_XMax(shape) - ST_XMin(shape) > 180
                THEN ST_WrapX(ST_ShiftLongitude(shape), 180, -360)
                ELSE shape END
$$;
COMMENT ON FUNCTION cut_at_antimeridian(geometry) IS
    'The same shape in longitudes [-180, 180], in two parts if it crosses 180.';

-- Each corner is reached from the centre along a geodesic. 72 corners on the ellipse itself:
-- the polygon lies inside it, by at most 1 - cos(pi/72) = 0.1 % of an axis.
CREATE OR REPLACE FUNCTION ellipse_polygon(centre geography, semi_major_m double precision,
    semi_minor_m double precision, orientation_deg double precision) RETURNS geometry
LANGUAGE sql IMMUTABLE STRICT PARALLEL SAFE AS $$
    SELECT ST_Multi(cut_at_antimeridian(ST_ForcePolygonCCW(ST_MakePolygon(ST_MakeLine(
               ST_Project(centre, hypot_m, radians(orientation_deg) + turn)::geometry
               ORDER BY corner)))))
    FROM (SELECT corner,
                 sqrt((semi_major_m * cosd(5 * corner)) ^ 2
                      + (semi_minor_m * sind(5 * corner)) ^ 2) AS hypot_m,
                 atan2(semi_minor_m * sind(5 * corner), semi_major_m * cosd(5 * corner)) AS turn
          FROM generate_series(0, 72) AS corner) AS corners
$$;
COMMENT ON FUNCTION ellipse_polygon(geography, double precision, double precision, double precision) IS
    'The ellipse on the ground as a MultiPolygon; axes in m, orientation in degrees from true north.';

-- The ellipse, or where the fix says that its region is not one, that region.
CREATE OR REPLACE FUNCTION region_polygon(region geography, centre geography,
    semi_major_m double precision, semi_minor_m double precision,
    orientation_deg double precision) RETURNS geometry
LANGUAGE sql IMMUTABLE PARALLEL SAFE AS $$
    SELECT coalesce(ST_Multi(cut_at_antimeridian(region::geometry)),
                    ellipse_polygon(centre, semi_major_m, semi_minor_m, orientation_deg))
$$;
COMMENT ON FUNCTION region_polygon(geography, geography, double precision, double precision, double precision) IS
    'The region of a fix as a MultiPolygon: the stored one, else the ellipse.';

-- Corners every 5 km keep it on the geodesic: a straight line on the map would leave it.
CREATE OR REPLACE FUNCTION azimuth_line(start geography, azimuth_deg double precision,
    length_m double precision) RETURNS geometry
LANGUAGE sql IMMUTABLE STRICT PARALLEL SAFE AS $$
    SELECT ST_Multi(cut_at_antimeridian(ST_Segmentize(ST_MakeLine(start::geometry,
        ST_Project(start, length_m, radians(azimuth_deg))::geometry)::geography, 5000)::geometry))
$$;
COMMENT ON FUNCTION azimuth_line(geography, double precision, double precision) IS
    'The geodesic from start along an azimuth (degrees from true north), length_m long, as a MultiLineString.';

CREATE OR REPLACE FUNCTION station_names(ids integer[]) RETURNS text[]
LANGUAGE sql STABLE STRICT PARALLEL SAFE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT coalesce(array_agg(name ORDER BY station_id), '{}') FROM station
    WHERE station_id = ANY (ids)
$$;
COMMENT ON FUNCTION station_names(integer[]) IS 'Names of stations, in the order of their ids.';
