#!/usr/bin/python3
"""What an analyst would write in a day with OpenCV and scikit-image: make bench holds
rowlight against it.

    plain.py --jobs 2 --out OUT PHOTO...       measure: OUT/numbers.csv and OUT/overlays/
    plain.py --jobs 2 --decode PHOTO...        only decode each photo in full
    plain.py --jobs 2 --list FILE ...          the photos' names, one a line, from a file

The kind of a photo is the word floor, side or alley in its name. Every photo is worked on
in full, but for the floor, which is brought to 5 mm a pixel first. The last line that it
prints says how long the photos took, the program's start left out.
"""
import argparse
import csv
import multiprocessing
import os
import resource
import sys
import time

import cv2
import numpy as np
from PIL import Image
from skimage import filters, measure, morphology

# The survey board (A3), millimetres from the sheet's top-left corner.
MARKER_MM = 100.0
MARKERS_AT_MM = [(15, 15), (305, 15), (305, 182), (15, 182)]
SHEET_MM = (420.0, 297.0)
STAND_MM = 300.0  # an upright board's bottom edge above the ground
FLOOR_RADIUS_MM = 1500.0
FLOOR_STEP_MM = 5.0
GROUND_PATCH_MM = 400.0  # to either side of the board, whose colour is the alley floor's
SMALLEST_MARKER = 0.015  # round a marker, of the photo's longer side: 15 px a side in 4000
OVERLAY_PX = 1280
OVERLAY_QUALITY = 82
FULL_FRAME_MM = 36.0
USUAL_FOCAL_MM = 26.0  # of phones, where EXIF is silent
EXIF_IFD, EXIF_FOCAL_35MM = 0x8769, 41989
COLUMNS = ["photo", "kind", "sunlit_fraction", "floor_area_m2", "flecks", "contrast", "height_m", "width_m", "density_fraction",
           "density_top_fraction", "density_middle_fraction", "density_bottom_fraction", "sky_gap_fraction",
           "width_at_height_m", "clear_left_m", "clear_right_m", "clear_width_m", "note"]


class NoNumber(Exception):
    """The photo gives no number, and why."""


def camera(path, shape):
    """Pinhole camera from EXIF's 35 mm focal length."""
    with Image.open(path) as img:
        focal = img.getexif().get_ifd(EXIF_IFD).get(EXIF_FOCAL_35MM) or USUAL_FOCAL_MM
    height, width = shape[:2]
    f = float(focal) / FULL_FRAME_MM * max(width, height)
    return np.array([[f, 0, (width - 1) / 2], [0, f, (height - 1) / 2], [0, 0, 1]])


def board(gray, lens):
    """Homography from the board's plane, mm from its top-left corner, to the photo."""
    params = cv2.aruco.DetectorParameters_create()
    params.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    params.minMarkerPerimeterRate = SMALLEST_MARKER
    dictionary = cv2.aruco.Dictionary_get(cv2.aruco.DICT_5X5_100)
    corners, ids, _ = cv2.aruco.detectMarkers(gray, dictionary, parameters=params)
    if ids is None:
        raise NoNumber("no marker found")
    number = np.bincount(ids.ravel() // 4).argmax()
    on_board, in_photo = [], []
    for quad, marker in zip(corners, ids.ravel()):
        if marker // 4 != number:
            continue
        x, y = MARKERS_AT_MM[marker % 4]
        on_board += [(x, y, 0), (x + MARKER_MM, y, 0), (x + MARKER_MM, y + MARKER_MM, 0), (x, y + MARKER_MM, 0)]
        in_photo += list(quad.reshape(4, 2))
    found, turn, shift = cv2.solvePnP(np.array(on_board, float), np.array(in_photo, float), lens, None)
    if not found:
        raise NoNumber("no pose of the board")
    rotation, _ = cv2.Rodrigues(turn)
    return lens @ np.column_stack([rotation[:, 0], rotation[:, 1], shift.ravel()])


def through(h, points):
    return cv2.perspectiveTransform(np.array([points], float), h)[0]


def floor(bgr, h):
    """Share of the floor within 1.5 m of the board that is brighter than Otsu's threshold."""
    side = int(2 * FLOOR_RADIUS_MM / FLOOR_STEP_MM)
    cx, cy = SHEET_MM[0] / 2, SHEET_MM[1] / 2
    to_mm = np.array([[FLOOR_STEP_MM, 0, cx - FLOOR_RADIUS_MM], [0, FLOOR_STEP_MM, cy - FLOOR_RADIUS_MM], [0, 0, 1]])
    from_floor = h @ to_mm
    flat = cv2.warpPerspective(bgr, from_floor, (side, side), flags=cv2.INTER_AREA | cv2.WARP_INVERSE_MAP)
    seen = cv2.warpPerspective(np.full(bgr.shape[:2], 255, np.uint8), from_floor, (side, side),
                               flags=cv2.INTER_NEAREST | cv2.WARP_INVERSE_MAP) > 0
    ring = np.zeros((side, side), np.uint8)
    cv2.circle(ring, (side // 2, side // 2), side // 2, 255, -1)
    judged = (ring > 0) & seen
    sheet = through(np.linalg.inv(to_mm), [(0, 0), (SHEET_MM[0], 0), SHEET_MM, (0, SHEET_MM[1])])
    covered = np.zeros((side, side), np.uint8)
    cv2.fillConvexPoly(covered, np.int32(sheet), 255)
    judged &= covered == 0
    light = filters.gaussian(cv2.cvtColor(flat, cv2.COLOR_BGR2GRAY), 1)
    sun = judged & (light > filters.threshold_otsu(light[judged]))
    sun = morphology.remove_small_objects(sun, 8)
    flecks = measure.regionprops(measure.label(sun))
    area = np.sum([r.area for r in flecks])
    mask = cv2.warpPerspective(sun.astype(np.uint8), from_floor, bgr.shape[1::-1], flags=cv2.INTER_NEAREST)
    numbers = {"sunlit_fraction": area / judged.sum(), "floor_area_m2": judged.sum() * (FLOOR_STEP_MM / 1000) ** 2, "flecks": len(flecks)}
    if sun.any() and (judged & ~sun).any():
        numbers["contrast"] = light[sun].mean() / light[judged & ~sun].mean()
    return numbers, mask


def foliage(bgr):
    """Leaves by their colour, specks and pinholes closed."""
    hsv = cv2.cvtColor(bgr, cv2.COLOR_BGR2HSV)
    green = cv2.inRange(hsv, (25, 40, 15), (95, 255, 230))
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (5, 5))
    green = cv2.morphologyEx(green, cv2.MORPH_OPEN, disc)
    return cv2.morphologyEx(green, cv2.MORPH_CLOSE, disc)


def regions(mask, least):
    """The mask's connected regions of some size."""
    labels = measure.label(mask, background=0)
    return labels, [r for r in measure.regionprops(labels) if r.area >= least]


def side(bgr, h):
    """Height, widths, density and gaps of the largest region of leaves."""
    mask = foliage(bgr)
    to_board = np.linalg.inv(h)
    ground_px = through(h, [(SHEET_MM[0] / 2, SHEET_MM[1] + STAND_MM)])[0]
    mask[max(0, min(int(ground_px[1]), mask.shape[0])):] = 0  # what lies below is grass
    labels, found = regions(mask, mask.size // 2000)
    if not found:
        raise NoNumber("no leaves found")
    tree = max(found, key=lambda r: r.area)
    top, left, bottom, right = tree.bbox
    middle = (left + right) / 2
    high = through(to_board, [(middle, top)])[0]
    low = through(to_board, [(left, (top + bottom) / 2), (right, (top + bottom) / 2)])
    outline, _ = cv2.findContours(tree.image.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    envelope = np.zeros(tree.image.shape, np.uint8)
    cv2.fillConvexPoly(envelope, cv2.convexHull(np.vstack(outline)), 1)
    numbers = {"height_m": (SHEET_MM[1] + STAND_MM - high[1]) / 1000, "width_m": (low[1][0] - low[0][0]) / 1000,
               "density_fraction": tree.area / envelope.sum()}
    for third, (leaves, whole) in zip(("top", "middle", "bottom"), zip(np.array_split(tree.image, 3), np.array_split(envelope, 3))):
        numbers[f"density_{third}_fraction"] = leaves.sum() / max(1, whole.sum())
    hsv = cv2.cvtColor(bgr[top:bottom, left:right], cv2.COLOR_BGR2HSV)
    sky = (cv2.inRange(hsv, (95, 30, 90), (130, 255, 255)) | cv2.inRange(hsv, (0, 0, 235), (180, 30, 255))) > 0
    numbers["sky_gap_fraction"] = (sky & (envelope > 0)).sum() / envelope.sum()
    numbers["width_at_height_m"] = widths(tree, to_board)
    return numbers, (labels == tree.label).astype(np.uint8)


def widths(tree, to_board):
    """Width of the region at each half metre above the ground."""
    top, left, _, _ = tree.bbox
    filled = tree.image.any(axis=1)
    rows = np.flatnonzero(filled)
    first = left + tree.image.argmax(axis=1)[rows]
    last = left + tree.image.shape[1] - 1 - tree.image[:, ::-1].argmax(axis=1)[rows]
    from_mm = through(to_board, np.column_stack([first, top + rows]))
    to_mm = through(to_board, np.column_stack([last, top + rows]))
    heights = (SHEET_MM[1] + STAND_MM - from_mm[:, 1]) / 1000
    return "; ".join(f"{at:.1f}: {(to_mm[i, 0] - from_mm[i, 0]) / 1000:.2f}"
                     for at in np.arange(0.5, heights.max(), 0.5) for i in [np.abs(heights - at).argmin()])


def alley(bgr, h):
    """Width of the alley's floor at the board: what is of one colour with the ground before it."""
    ground = through(h, [(SHEET_MM[0] / 2 + x, SHEET_MM[1] + STAND_MM) for x in (-GROUND_PATCH_MM, 0, GROUND_PATCH_MM)])
    (first, row), (centre, _), (last, _) = ground.astype(int)
    height, width = bgr.shape[:2]
    if not (0 <= first < last < width and 0 < row < height - 2):
        raise NoNumber("the ground at the board is not in the photo")
    lab = cv2.cvtColor(bgr, cv2.COLOR_BGR2LAB)
    patch = np.median(lab[row + 1:min(height, row + last - first), first:last].reshape(-1, 3), axis=0).astype(int)
    apart = cv2.add(cv2.absdiff(lab[:, :, 1], int(patch[1])), cv2.absdiff(lab[:, :, 2], int(patch[2])))
    like = np.uint8(apart <= filters.threshold_otsu(apart))
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (9, 9))
    like = cv2.morphologyEx(cv2.morphologyEx(like, cv2.MORPH_CLOSE, disc), cv2.MORPH_OPEN, disc)
    labels, found = regions(like, like.size // 1000)
    under = np.bincount(labels[row + 1:row + last - first, first:last].ravel()).argmax()
    if under not in [r.label for r in found]:
        raise NoNumber("no floor found before the board")
    floor_seen = np.uint8(labels == under)
    around = max(1, (last - first) // 8)
    other = np.flatnonzero(floor_seen[max(0, row - around):row + around].mean(axis=0) < 0.5)
    left, right = other[other < centre], other[other > centre]
    numbers, to_board = {}, np.linalg.inv(h)
    if len(left):
        numbers["clear_left_m"] = (through(to_board, [(centre, row)]) - through(to_board, [(left[-1], row)]))[0][0] / 1000
    if len(right):
        numbers["clear_right_m"] = (through(to_board, [(right[0], row)]) - through(to_board, [(centre, row)]))[0][0] / 1000
    if len(numbers) == 2:
        numbers["clear_width_m"] = numbers["clear_left_m"] + numbers["clear_right_m"]
    return numbers, floor_seen  # a side on which the floor has no edge stays empty


MEASURES = {"floor": floor, "side": side, "alley": alley}


def draw(path, bgr, mask, h, words):
    """The photo at 1280 px with the mask tinted, the board's outline and the numbers."""
    scale = min(1.0, OVERLAY_PX / max(bgr.shape[:2]))
    size = (round(bgr.shape[1] * scale), round(bgr.shape[0] * scale))
    small = cv2.resize(bgr, size, interpolation=cv2.INTER_AREA)
    tint = cv2.resize(mask, size, interpolation=cv2.INTER_NEAREST) > 0
    small[tint] = (0.5 * small[tint] + 0.5 * np.array([0, 159, 230])).astype(np.uint8)
    sheet = through(h, [(0, 0), (SHEET_MM[0], 0), SHEET_MM, (0, SHEET_MM[1])]) * scale
    cv2.polylines(small, [np.int32(sheet)], True, (233, 180, 86), 3)
    cv2.putText(small, words, (10, size[1] - 15), cv2.FONT_HERSHEY_SIMPLEX, 0.8, (255, 255, 255), 2)
    cv2.imwrite(path, small, [cv2.IMWRITE_JPEG_QUALITY, OVERLAY_QUALITY])


def one(job):
    path, out = job
    name = os.path.basename(path)
    kind = next((k for k in MEASURES if k in name), "")
    row = {"photo": name, "kind": kind}
    try:
        bgr = cv2.imread(path)
        if bgr is None:
            raise NoNumber("cannot be read")
        if not kind:
            raise NoNumber("no kind in its name")
        h = board(cv2.cvtColor(bgr, cv2.COLOR_BGR2GRAY), camera(path, bgr.shape))
        numbers, mask = MEASURES[kind](bgr, h)
    except NoNumber as why:
        row["note"] = str(why)
        return row
    row.update({k: v if isinstance(v, str) else f"{v:.3f}" for k, v in numbers.items()})
    words = ", ".join(f"{k} {v:.2f}" for k, v in list(numbers.items())[:3])
    draw(os.path.join(out, "overlays", os.path.splitext(name)[0] + ".jpg"), bgr, mask, h, words)
    return row


def decode(path):
    return cv2.imread(path) is not None


def one_thread():
    """A process a core does the spreading; OpenCV's own threads would be in their way."""
    cv2.setNumThreads(1)


def main():
    args = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    args.add_argument("--jobs", type=int, default=2)
    args.add_argument("--out", default="plain")
    args.add_argument("--decode", action="store_true")
    args.add_argument("--list")
    args.add_argument("photos", nargs="*")
    opt = args.parse_args()
    photos = opt.photos
    if opt.list:
        with open(opt.list, encoding="utf-8") as f:
            photos = photos + f.read().split("\n")
    photos = [p for p in photos if p]
    with multiprocessing.Pool(opt.jobs, initializer=one_thread) as pool:
        begun = time.monotonic()
        if opt.decode:
            good = sum(pool.imap_unordered(decode, photos))
        else:
            os.makedirs(os.path.join(opt.out, "overlays"), exist_ok=True)
            rows = pool.map(one, [(p, opt.out) for p in photos], chunksize=1)
            good = sum("note" not in r for r in rows)
            with open(os.path.join(opt.out, "numbers.csv"), "w", newline="", encoding="utf-8") as f:
                table = csv.DictWriter(f, COLUMNS)
                table.writeheader()
                table.writerows(rows)
        took = time.monotonic() - begun
        pool.close()
        pool.join()
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    print(f"photos {len(photos)} good {good} seconds {took:.3f} cpu_seconds {used.ru_utime + used.ru_stime:.3f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
