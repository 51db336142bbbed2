"""Learns the three networks of the proposal from simulated films.

    python3 learn.py FILMS OUT --task where|ap|lateral --minutes M [--seed S]

FILMS is a folder made by the example `training_films`: NAME.png with NAME.json beside it. OUT gets
TASK.safetensors (half precision, batch normalisation folded into the convolutions), TASK.json (what was
learned from, and how far it came on films that were kept out) and TASK-check.safetensors (one input with
the output that belongs to it, by which the program's own arithmetic is tested).

Geometry: points are in pixels, x right and y down, the centre of the first pixel at (0.5, 0.5). A fine film
shows a right foot from above with the toes up, or a foot from the side with the toes to the right, at
0.5 mm to the pixel. A film of the task `where` shows anything at any turn, at about 1.2 mm to the pixel.
"""

import argparse
import json
import math
import multiprocessing
import struct
import time
from pathlib import Path

import numpy
import torch
from PIL import Image, ImageDraw
from torch import nn
from torch.nn import functional

BONES = ["m1", "m2", "m3", "m4", "m5", "proximal_phalanx", "distal_phalanx"]
AP_MASKS = BONES + ["tibial_sesamoid", "fibular_sesamoid"]
AP_POINTS = [f"{bone}_{end}" for bone in BONES for end in ("base_centre", "tip")] + [
    "m1_head_centre",
    "m1_articular_medial",
    "m1_articular_lateral",
    "tibial_sesamoid_centre",
    "fibular_sesamoid_centre",
]
LATERAL_MASKS = ["m1", "talus", "calcaneus"]
LATERAL_POINTS = [
    "m1_base_centre",
    "m1_tip",
    "m1_head_centre",
    "talus_posterior",
    "talus_anterior",
    "calcaneus_plantar_posterior",
    "calcaneus_plantar_anterior",
    "floor_posterior",
    "floor_anterior",
]
WHERE_AP = [
    "m1_base_centre",
    "m1_tip",
    "distal_phalanx_tip",
    "m2_base_centre",
    "m2_tip",
    "m5_base_centre",
    "m5_tip",
]
WHERE_LATERAL = ["m1_base_centre", "m1_tip", "talus_anterior", "calcaneus_plantar_posterior"]

# Size of the networks' films (height, width) and the size of their pixels in mm.
SIZES = {"where": (224, 224), "ap": (384, 256), "lateral": (208, 480)}
WIDTHS = {
    "where": [16, 32, 48, 64, 96],
    "ap": [24, 48, 64, 96, 128],
    "lateral": [24, 48, 64, 96, 128],
}
FINE_MM = 0.5
WHERE_MM = 1.2
# Spread of a landmark's target in mm.
FINE_SPREAD_MM = 0.6
WHERE_SPREAD_MM = 3.0
# Local contrast is taken over a square of so many pixels.
CONTRAST_WINDOW = 41

DEVICE = "cuda" if torch.cuda.is_available() else "cpu"


# Films.


def read_film(path):
    """One film: grey (0 to 1), masks and points, a left foot mirrored to a right one."""
    truth = json.loads(path.with_suffix(".json").read_text())
    foot = truth["feet"][0]
    is_ap = truth["view"] in ("ap", "Ap", "AP")
    grey = numpy.asarray(Image.open(path)).astype(numpy.float32) / 65535.0
    height, width = grey.shape
    masks = []
    for name in AP_MASKS if is_ap else LATERAL_MASKS:
        parts = [foot["contours_px"].get(name), foot["contours_px"].get(name + "_fragment")]
        masks.append(filled([part for part in parts if part], width, height))
    names = AP_POINTS if is_ap else LATERAL_POINTS
    placed = foot["tracing"]["points"]
    points = numpy.full((len(names), 2), numpy.nan, numpy.float32)
    for index, name in enumerate(names):
        if name in placed:
            at = placed[name]["at"]
            points[index] = (at["x_px"], at["y_px"])
    masks = numpy.stack(masks)
    # A film from the lateral side shows a left foot with its toes to the left.
    if foot["side"].lower() == "left":
        grey = grey[:, ::-1].copy()
        masks = masks[:, :, ::-1].copy()
        points[:, 0] = width - points[:, 0]
    pixel_mm = truth["exposure"]["pixel_mm"]
    return is_ap, (grey * 65535).astype(numpy.uint16), masks, points, pixel_mm


def filled(contours, width, height, times=4):
    """How much of each pixel lies inside, 0 to 255."""
    picture = Image.new("L", (width * times, height * times), 0)
    draw = ImageDraw.Draw(picture)
    for contour in contours:
        draw.polygon([(x * times - 0.5, y * times - 0.5) for x, y in contour], fill=255)
    return numpy.asarray(picture.resize((width, height), Image.BOX))


class Films:
    """All films of one view on the device, on canvases of one size."""

    def __init__(self, films):
        self.count = len(films)
        height = max(film[1].shape[0] for film in films)
        width = max(film[1].shape[1] for film in films)
        self.canvas = (height, width)
        masks = films[0][2].shape[0]
        self.grey = torch.zeros(self.count, height, width, dtype=torch.float16)
        self.masks = torch.zeros(self.count, masks, height, width, dtype=torch.uint8)
        self.points = torch.zeros(self.count, films[0][3].shape[0], 2)
        self.sizes = torch.zeros(self.count, 2)
        self.pixel_mm = torch.zeros(self.count)
        for index, (_, grey, mask, points, pixel_mm) in enumerate(films):
            rows, columns = grey.shape
            self.grey[index, :rows, :columns] = torch.from_numpy(grey.astype(numpy.float32) / 65535.0)
            self.masks[index, :, :rows, :columns] = torch.from_numpy(mask.copy())
            self.points[index] = torch.from_numpy(points)
            self.sizes[index] = torch.tensor([columns, rows])
            self.pixel_mm[index] = pixel_mm
        for name in ("grey", "masks", "points", "sizes", "pixel_mm"):
            setattr(self, name, getattr(self, name).to(DEVICE))


def load(folder, task):
    endings = {"where": "*.png", "ap": "*-ap-?.png", "lateral": "*-lateral.png"}
    paths = sorted(folder.glob(endings[task]))
    paths = [path for path in paths if path.with_suffix(".json").exists()]
    with multiprocessing.Pool() as pool:
        films = pool.map(read_film, paths, chunksize=8)
    feet = [int(path.name[:6]) for path in paths]
    views = {}
    for is_ap in (True, False):
        chosen = [(foot, film) for foot, film in zip(feet, films) if film[0] == is_ap]
        if not chosen:
            continue
        # Every sixteenth foot is kept out, to see how far the learning has come.
        views[is_ap] = tuple(
            Films([film for foot, film in chosen if (foot % 16 == 0) == kept_out])
            for kept_out in (False, True)
        )
    return views


# Changed films: another place, size, shape, and everything that tubes, detectors and software do to grey.


def uniform(count, low, high):
    return torch.rand(count, device=DEVICE) * (high - low) + low


def some(count, share):
    return (torch.rand(count, device=DEVICE) < share).float()


def grid_of(films, chosen, size, pixel_mm, turn, stretch, centre, mirror, bend_mm):
    """For each pixel of the changed film, the place on the chosen film (pixels) that it shows."""
    count = len(chosen)
    height, width = size
    y, x = torch.meshgrid(
        torch.arange(height, device=DEVICE) + 0.5 - height / 2,
        torch.arange(width, device=DEVICE) + 0.5 - width / 2,
        indexing="ij",
    )
    step = (pixel_mm / films.pixel_mm[chosen])[:, None, None]
    x = x[None] * step * stretch[:, 0, None, None] * mirror[:, None, None]
    y = y[None] * step * stretch[:, 1, None, None]
    x = x + y * stretch[:, 2, None, None]
    cosine, sine = torch.cos(turn)[:, None, None], torch.sin(turn)[:, None, None]
    x, y = x * cosine - y * sine, x * sine + y * cosine
    grid = torch.stack([x, y], -1) + centre[:, None, None, :]
    rough = torch.randn(count, 2, 7, 7, device=DEVICE) * (bend_mm / films.pixel_mm[chosen])[:, None, None, None]
    bend = functional.interpolate(rough, size=size, mode="bicubic", align_corners=True)
    return grid + bend.permute(0, 2, 3, 1)


def sampled(picture, grid, canvas, padding="zeros"):
    height, width = canvas
    scale = torch.tensor([2.0 / width, 2.0 / height], device=DEVICE)
    return functional.grid_sample(
        picture, grid * scale - 1.0, mode="bilinear", padding_mode=padding, align_corners=False
    )


def target_of(points, grid, spread_px):
    """A bell around each landmark, in the changed film, and whether the landmark is on it."""
    flat = grid[:, None]
    distance = ((flat - points[:, :, None, None, :]) ** 2).sum(-1)
    bell = torch.exp(-0.5 * distance / spread_px[:, None, None, None] ** 2)
    bell = torch.nan_to_num(bell)
    return bell, bell.amax((2, 3)) > 0.3


def blurred(picture, spread):
    """Each film of a batch blurred by its own spread, in pixels."""
    reach = 5
    at = torch.arange(-reach, reach + 1, device=DEVICE).float()
    kernel = torch.exp(-0.5 * (at[None] / spread[:, None].clamp_min(0.05)) ** 2)
    kernel = kernel / kernel.sum(1, keepdim=True)
    count = picture.shape[0]
    flat = picture.reshape(1, count, *picture.shape[-2:])
    flat = functional.pad(flat, (reach, reach, reach, reach), mode="replicate")
    flat = functional.conv2d(flat, kernel[:, None, :, None], groups=count)
    flat = functional.conv2d(flat, kernel[:, None, None, :], groups=count)
    return flat.reshape(picture.shape)


def along_segment(shape, ends):
    """Distance in pixels of each pixel from a segment."""
    height, width = shape
    y, x = torch.meshgrid(
        torch.arange(height, device=DEVICE) + 0.5,
        torch.arange(width, device=DEVICE) + 0.5,
        indexing="ij",
    )
    place = torch.stack([x, y], -1)[None]
    start, end = ends[:, None, None, 0], ends[:, None, None, 1]
    way = end - start
    share = ((place - start) * way).sum(-1) / (way**2).sum(-1).clamp_min(1e-3)
    return (place - start - share.clamp(0, 1)[..., None] * way).norm(dim=-1)


def spoiled(grey):
    """Grey as other tubes, detectors and software would have made it. Shape (count, 1, height, width)."""
    count, _, height, width = grey.shape
    scale = torch.tensor([width, height], device=DEVICE).float()
    low = grey.amin((1, 2, 3), keepdim=True)
    grey = (grey - low) / (grey.amax((1, 2, 3), keepdim=True) - low).clamp_min(1e-3)
    view = (count, 1, 1, 1)
    # Metal and letters of lead: segments and boxes.
    for share, thick in ((0.25, (1.5, 5.0)), (0.2, (1.5, 5.0)), (0.3, (2.0, 9.0))):
        centre = torch.rand(count, 2, device=DEVICE) * scale
        half = torch.randn(count, 2, device=DEVICE)
        half = half / half.norm(dim=1, keepdim=True) * uniform(count, 4.0, 45.0)[:, None]
        away = along_segment((height, width), torch.stack([centre - half, centre + half], 1))
        inside = torch.sigmoid((uniform(count, *thick)[:, None, None] - away) * 2.0)[:, None]
        weight = inside * (some(count, share) * uniform(count, 0.6, 1.0)).view(view)
        grey = grey * (1 - weight) + weight * uniform(count, 0.8, 1.2).view(view)
    # Soft tissue, scatter and the heel effect: a slow change over the film.
    slow = torch.randn(count, 1, 4, 4, device=DEVICE) * uniform(count, 0.0, 0.25).view(view)
    slow = functional.interpolate(slow, size=(height, width), mode="bicubic", align_corners=True)
    grey = grey * (1 + slow) + 0.5 * torch.randn(count, 1, 1, 1, device=DEVICE).abs() * slow.abs()
    grey = grey.clamp_min(0) ** torch.exp2(uniform(count, -1.2, 1.2)).view(view)
    grey = torch.where(
        some(count, 0.15).view(view) > 0, grey.clamp_max(1.0) / (0.6 + 0.4 * grey.clamp_max(1.0)), grey
    )
    soft = blurred(grey, uniform(count, 0.05, 1.6) * some(count, 0.6) + 0.05)
    wide = blurred(grey, uniform(count, 0.8, 2.5))
    sharper = (uniform(count, 0.0, 1.5) * some(count, 0.3)).view(view)
    grey = soft + sharper * (grey - wide)
    # Texture, as trabeculae and grain give it, at several sizes.
    for size in (1, 2, 4):
        rough = torch.randn(count, 1, -(-height // size), -(-width // size), device=DEVICE)
        rough = functional.interpolate(rough, scale_factor=size, mode="bilinear" if size > 1 else "nearest")
        strength = uniform(count, 0.0, 0.07) * some(count, 0.5)
        grey = grey + rough[..., :height, :width] * strength.view(view)
    # The edges of the exposed field, at any turn; dark or bright beyond.
    for _ in range(2):
        turn = uniform(count, 0, 2 * math.pi)
        normal = torch.stack([turn.cos(), turn.sin()], 1)
        away = uniform(count, 0.30, 0.55)[:, None] * scale.min()
        y, x = torch.meshgrid(
            torch.arange(height, device=DEVICE) + 0.5 - height / 2,
            torch.arange(width, device=DEVICE) + 0.5 - width / 2,
            indexing="ij",
        )
        beyond = x[None] * normal[:, 0, None, None] + y[None] * normal[:, 1, None, None] > away[:, :, None]
        beyond = beyond[:, None].float() * some(count, 0.12).view(view)
        grey = grey * (1 - beyond) + beyond * (some(count, 0.3) * 1.0).view(view)
    return grey


def normalised(grey):
    """The two pictures that a network sees: grey between its extremes, and the local contrast."""
    count = grey.shape[0]
    flat = grey.reshape(count, -1)
    low = torch.quantile(flat[:, ::7].float(), 0.01, dim=1).view(count, 1, 1, 1)
    high = torch.quantile(flat[:, ::7].float(), 0.99, dim=1).view(count, 1, 1, 1)
    plain = ((grey - low) / (high - low).clamp_min(1e-4)).clamp(0, 1.5)
    pool = lambda picture: functional.avg_pool2d(
        picture, CONTRAST_WINDOW, stride=1, padding=CONTRAST_WINDOW // 2, count_include_pad=False
    )
    mean = pool(plain)
    spread = (pool(plain**2) - mean**2).clamp_min(0).sqrt()
    contrast = ((plain - mean) / (spread + 0.03)).clamp(-3, 3)
    return torch.cat([plain, contrast / 2], 1)


# Batches.


def fine_batch(films, count, task, spoil=True):
    size = SIZES[task]
    chosen = torch.randint(films.count, (count,), device=DEVICE)
    points = films.points[chosen]
    weight = 1.0 if spoil else 0.5
    middle = torch.stack([nan_middle(points[..., 0]), nan_middle(points[..., 1])], 1)
    shift = torch.randn(count, 2, device=DEVICE) * 4.0 * weight
    centre = middle + shift / films.pixel_mm[chosen][:, None]
    stretch = torch.stack(
        [
            1 + torch.randn(count, device=DEVICE) * 0.04 * weight,
            1 + torch.randn(count, device=DEVICE) * 0.04 * weight,
            torch.randn(count, device=DEVICE) * 0.04 * weight,
        ],
        1,
    )
    bend = uniform(count, 0.0, 2.0) * some(count, 0.5) * float(spoil)
    grid = grid_of(
        films,
        chosen,
        size,
        FINE_MM * torch.exp(torch.randn(count, device=DEVICE) * 0.07 * weight),
        torch.randn(count, device=DEVICE) * math.radians(8) * weight,
        stretch,
        centre,
        torch.ones(count, device=DEVICE),
        bend,
    )
    grey = sampled(films.grey[chosen][:, None].float(), grid, films.canvas)
    masks = sampled(films.masks[chosen].float() / 255, grid, films.canvas)
    bell, present = target_of(points, grid, FINE_SPREAD_MM / films.pixel_mm[chosen])
    if spoil:
        grey = spoiled(grey)
    return normalised(grey), masks, bell, present


def nan_middle(values):
    known = ~torch.isnan(values)
    filled_in = torch.where(known, values, torch.zeros_like(values))
    low = torch.where(known, values, torch.full_like(values, 1e9)).amin(1)
    high = torch.where(known, filled_in, torch.full_like(values, -1e9)).amax(1)
    return (low + high) / 2


def where_batch(views, kept_out, count, spoil=True):
    size = SIZES["where"]
    inputs, targets = [], []
    for is_ap in (True, False):
        films = views[is_ap][kept_out]
        names = AP_POINTS if is_ap else LATERAL_POINTS
        wanted = WHERE_AP if is_ap else WHERE_LATERAL
        index = torch.tensor([names.index(name) for name in wanted], device=DEVICE)
        half = count // 2
        pixel = WHERE_MM * torch.exp(torch.randn(half, device=DEVICE) * 0.3)
        turn = uniform(half, 0, 2 * math.pi)
        mirror = torch.where(some(half, 0.5) > 0, 1.0, -1.0)
        stretch = torch.stack(
            [
                1 + torch.randn(half, device=DEVICE) * 0.05,
                1 + torch.randn(half, device=DEVICE) * 0.05,
                torch.randn(half, device=DEVICE) * 0.04,
            ],
            1,
        )
        grey, bell = None, None
        both = some(half, 0.25) if is_ap else torch.zeros(half, device=DEVICE)
        for foot in range(2):
            chosen = torch.randint(films.count, (half,), device=DEVICE)
            # In pixels of the changed film, from its middle; the second foot stands beside the first.
            off = torch.randn(half, 2, device=DEVICE) * 18.0
            apart = (65.0 + 12.0 * torch.rand(half, device=DEVICE)) / pixel * both
            side = -1.0 if foot == 0 else 1.0
            if foot == 0:
                shared = off
            off = shared + torch.stack([side * apart, torch.zeros_like(apart)], 1)
            flip = mirror if foot == 0 else -mirror
            middle = films.sizes[chosen] / 2
            zero = torch.zeros(half, 2, device=DEVICE)
            grid = grid_of(films, chosen, size, pixel, turn, stretch, zero, flip, uniform(half, 0, 2.0))
            # The film's middle is shown at `off` from the middle of the changed film.
            centre = back(off * (pixel / films.pixel_mm[chosen])[:, None], stretch, turn, flip)
            grid = grid + (middle - centre)[:, None, None, :]
            picture = sampled(films.grey[chosen][:, None].float(), grid, films.canvas)
            bells, _ = target_of(films.points[chosen][:, index], grid, WHERE_SPREAD_MM / films.pixel_mm[chosen])
            if foot == 0:
                grey, bell = picture, bells
            else:
                here = both.view(-1, 1, 1, 1)
                grey, bell = torch.maximum(grey, picture * here), torch.maximum(bell, bells * here)
        empty = torch.zeros(half, len(WHERE_LATERAL if is_ap else WHERE_AP), *size, device=DEVICE)
        inputs.append(spoiled(grey) if spoil else grey)
        targets.append(torch.cat([bell, empty] if is_ap else [empty, bell], 1))
    return normalised(torch.cat(inputs)), torch.cat(targets)


def back(offset, stretch, turn, mirror):
    """An offset on the changed film as an offset on the film that it was taken from."""
    x = offset[:, 0] * stretch[:, 0] * mirror
    y = offset[:, 1] * stretch[:, 1]
    x = x + y * stretch[:, 2]
    return torch.stack([x * turn.cos() - y * turn.sin(), x * turn.sin() + y * turn.cos()], 1)


# Networks.


class Pair(nn.Module):
    def __init__(self, inputs, outputs):
        super().__init__()
        self.one = nn.Conv2d(inputs, outputs, 3, padding=1, bias=False)
        self.one_norm = nn.BatchNorm2d(outputs)
        self.two = nn.Conv2d(outputs, outputs, 3, padding=1, bias=False)
        self.two_norm = nn.BatchNorm2d(outputs)

    def forward(self, x):
        x = functional.relu(self.one_norm(self.one(x)))
        return functional.relu(self.two_norm(self.two(x)))


class Network(nn.Module):
    """Halves the film four times and comes back up; an absence score per landmark from the bottom."""

    def __init__(self, widths, outputs, absent):
        super().__init__()
        self.down = nn.ModuleList(
            Pair(before, after) for before, after in zip([2] + widths[:-1], widths)
        )
        self.up = nn.ModuleList(
            Pair(below + here, here) for below, here in zip(widths[:0:-1], widths[-2::-1])
        )
        self.out = nn.Conv2d(widths[0], outputs, 1)
        self.absent = nn.Linear(widths[-1], absent) if absent else None

    def forward(self, x):
        kept = []
        for level, pair in enumerate(self.down):
            if level:
                x = functional.max_pool2d(x, 2)
            x = pair(x)
            kept.append(x)
        bottom = x.mean((2, 3))
        for pair, skip in zip(self.up, kept[-2::-1]):
            x = functional.interpolate(x, scale_factor=2, mode="nearest")
            x = pair(torch.cat([x, skip], 1))
        return self.out(x), self.absent(bottom) if self.absent else None


def mask_loss(logits, masks):
    cross = functional.binary_cross_entropy_with_logits(logits, masks)
    share = torch.sigmoid(logits)
    overlap = (share * masks).sum((2, 3))
    dice = 1 - (2 * overlap + 20) / (share.sum((2, 3)) + masks.sum((2, 3)) + 20)
    return 3 * cross + 0.5 * dice.mean()


def point_loss(logits, absent, bell, present):
    """Cross entropy over all pixels and 'absent'."""
    count, points = bell.shape[:2]
    target = bell.reshape(count, points, -1)
    target = target / target.sum(2, keepdim=True).clamp_min(1e-6) * present[..., None]
    everywhere = torch.cat([logits.reshape(count, points, -1), absent[..., None]], 2)
    target = torch.cat([target, (~present).float()[..., None]], 2)
    return -(target * functional.log_softmax(everywhere.float(), 2)).sum(2).mean()


def loss_of(network, task, views, count, kept_out=False):
    if task == "where":
        picture, target = where_batch(views, kept_out, count)
        logits, _ = network(picture)
        weight = 1 + 60 * target
        return (functional.binary_cross_entropy_with_logits(logits.float(), target, reduction="none") * weight).mean()
    masks_of, _ = names_of(task)
    picture, masks, bell, present = fine_batch(views[task == "ap"][kept_out], count, task)
    logits, absent = network(picture)
    logits = logits.float()
    return mask_loss(logits[:, : len(masks_of)], masks) + 0.15 * point_loss(
        logits[:, len(masks_of) :], absent.float(), bell, present
    )


def names_of(task):
    if task == "where":
        return [], WHERE_AP + WHERE_LATERAL
    return (AP_MASKS, AP_POINTS) if task == "ap" else (LATERAL_MASKS, LATERAL_POINTS)


@torch.no_grad()
def errors_mm(network, task, views, count=16):
    """Distance of the likeliest place from the true one on changed films that were kept out."""
    masks_of, points_of = names_of(task)
    found = []
    for _ in range(6):
        if task == "where":
            picture, bell = where_batch(views, True, count)
            logits, _ = network(picture)
            present = bell.amax((2, 3)) > 0.3
            pixel = WHERE_MM
        else:
            picture, _, bell, present = fine_batch(views[task == "ap"][True], count, task)
            logits, _ = network(picture)
            logits = logits[:, len(masks_of) :]
            pixel = FINE_MM
        width = bell.shape[-1]
        place = lambda maps: maps.reshape(*maps.shape[:2], -1).argmax(2)
        one, two = place(logits.float()), place(bell)
        away = torch.hypot((one % width - two % width).float(), (one // width - two // width).float())
        found.append(torch.where(present, away * pixel, torch.full_like(away, float("nan"))))
    found = torch.cat(found).cpu().numpy()
    return [
        [name] + [round(float(numpy.nanpercentile(found[:, index], q)), 2) for q in (50, 90, 95)]
        for index, name in enumerate(points_of)
        if not numpy.isnan(found[:, index]).all()
    ]


# Weights.


def folded(convolution, norm):
    scale = norm.weight / torch.sqrt(norm.running_var + norm.eps)
    return convolution.weight * scale[:, None, None, None], norm.bias - norm.running_mean * scale


def weights_of(network):
    weights = {}
    for way in ("down", "up"):
        for index, pair in enumerate(getattr(network, way)):
            for name in ("one", "two"):
                kernel, offset = folded(getattr(pair, name), getattr(pair, name + "_norm"))
                weights[f"{way}.{index}.{name}.weight"] = kernel
                weights[f"{way}.{index}.{name}.bias"] = offset
    weights["out.weight"], weights["out.bias"] = network.out.weight, network.out.bias
    if network.absent:
        weights["absent.weight"], weights["absent.bias"] = network.absent.weight, network.absent.bias
    return weights


def write_safetensors(path, tensors, kind):
    """The plain layout of the format: the length of a JSON heading, the heading, the numbers."""
    names = {"f16": ("F16", numpy.float16), "f32": ("F32", numpy.float32)}
    label, dtype = names[kind]
    heading, blobs, offset = {}, [], 0
    for name, tensor in tensors.items():
        blob = tensor.detach().float().cpu().numpy().astype(dtype).tobytes()
        heading[name] = {
            "dtype": label,
            "shape": list(tensor.shape),
            "data_offsets": [offset, offset + len(blob)],
        }
        offset += len(blob)
        blobs.append(blob)
    text = json.dumps(heading).encode()
    text += b" " * (-len(text) % 8)
    path.write_bytes(struct.pack("<Q", len(text)) + text + b"".join(blobs))


def save(network, task, out, views, told):
    network.eval()
    out.mkdir(parents=True, exist_ok=True)
    write_safetensors(out / f"{task}.safetensors", weights_of(network), "f16")
    told["kept_out_errors_mm_50_90_95"] = errors_mm(network, task, views)
    (out / f"{task}.json").write_text(json.dumps(told, indent=1))
    with torch.no_grad():
        if task == "where":
            picture = where_batch(views, True, 2)[0][:1]
        else:
            picture = fine_batch(views[task == "ap"][True], 1, task)[0]
        picture = picture[:, :, :96, :96].contiguous()
        logits, absent = network(picture)
        check = {"picture": picture, "maps": logits[:, :, ::3, ::3]}
        if absent is not None:
            check["absent"] = absent
        write_safetensors(out / f"{task}-check.safetensors", check, "f32")
    network.train()


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("films", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--task", choices=list(SIZES), required=True)
    parser.add_argument("--minutes", type=float, required=True)
    parser.add_argument("--batch", type=int, default=32)
    parser.add_argument("--seed", type=int, default=51)
    parser.add_argument("--rate", type=float, default=2e-3)
    arguments = parser.parse_args()
    torch.manual_seed(arguments.seed)
    task = arguments.task
    views = load(arguments.films, task)
    torch.backends.cudnn.benchmark = True
    print(task, "films", {key: [part.count for part in value] for key, value in views.items()}, flush=True)
    masks_of, points_of = names_of(task)
    network = Network(WIDTHS[task], len(masks_of) + len(points_of), 0 if task == "where" else len(points_of))
    network = network.to(DEVICE)
    if DEVICE == "cuda":
        network = network.to(memory_format=torch.channels_last)
    optimiser = torch.optim.AdamW(network.parameters(), lr=arguments.rate, weight_decay=1e-3)
    begun, saved, step, running = time.time(), 0.0, 0, None
    allowed = arguments.minutes * 60
    while time.time() - begun < allowed:
        share = (time.time() - begun) / allowed
        # Warms up over the first steps, then falls as a cosine to nothing.
        rate = arguments.rate * min(1.0, (step + 1) / 300) * 0.5 * (1 + math.cos(math.pi * min(share, 1.0)))
        for group in optimiser.param_groups:
            group["lr"] = rate
        with torch.autocast(DEVICE, dtype=torch.bfloat16, enabled=DEVICE == "cuda"):
            loss = loss_of(network, task, views, arguments.batch)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        nn.utils.clip_grad_norm_(network.parameters(), 2.0)
        optimiser.step()
        step += 1
        if step % 50 == 0:
            running = loss.item() if running is None else 0.9 * running + 0.1 * loss.item()
        if step % 500 == 0 or step == 20:
            print(task, "step", step, "seconds", round(time.time() - begun), "loss", loss.item(), running, flush=True)
        if time.time() - begun - saved > 100:
            saved = time.time() - begun
            told = {"task": task, "steps": step, "batch": arguments.batch, "loss": running}
            save(network, task, arguments.out, views, told)
    told = {
        "task": task,
        "steps": step,
        "batch": arguments.batch,
        "seed": arguments.seed,
        "minutes": arguments.minutes,
        "films": {("ap" if key else "lateral"): value[0].count for key, value in views.items()},
        "loss": running,
    }
    save(network, task, arguments.out, views, told)
    print(task, "done", json.dumps(told), flush=True)


if __name__ == "__main__":
    main()
