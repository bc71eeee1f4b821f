// The proof page in a real browser: on a desk, on a telephone, on paper, and read out aloud. It has no script of its own;
// what is evaluated here looks at it from outside. Usage: node proof_page.mjs FOLDER..., each with a proof.html in it.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const BROWSER = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"].find(existsSync);
// A laptop and a telephone, in the pixels that a page is laid out in.
const DESK = { width: 1280, height: 800 };
const TELEPHONE = { width: 390, height: 844 };
const PIXELS_PER_MM = 96 / 25.4; // CSS Values and Units 4, section 6.2
const POINTS_PER_MM = 72 / 25.4;
const HALF_A_PIXEL = 0.5;

const scratch = mkdtempSync(join(tmpdir(), "proof-"));
const folders = process.argv.slice(2).map((folder) => resolve(folder));
assert.ok(folders.length > 0, "usage: node proof_page.mjs FOLDER...");
assert.ok(BROWSER, "no Chromium on this machine: install Debian's package chromium");

const browser = await chromium.launch({
    executablePath: BROWSER,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
        "--disable-component-update", "--disable-sync"],
});
try {
    for (const folder of folders) {
        await look(folder);
    }
} finally {
    await browser.close();
    rmSync(scratch, { recursive: true, force: true });
}

async function look(folder) {
    const cards = JSON.parse(readFileSync(join(folder, "manifest.json"), "utf8")).cards;
    const asked = [];
    const open = async (viewport, colorScheme) => {
        const context = await browser.newContext({ viewport, colorScheme });
        const page = await context.newPage();
        page.on("request", (request) => asked.push(request.url()));
        await page.goto(pathToFileURL(join(folder, "proof.html")).href);
        return page;
    };
    let pictures = 0;
    for (const [viewport, scheme] of [[DESK, "light"], [DESK, "dark"], [TELEPHONE, "light"], [TELEPHONE, "dark"]]) {
        const page = await open(viewport, scheme);
        pictures = await read_whole(page, viewport, cards);
        await sound_to_a_screen_reader(page);
        if (scheme === "light") {
            await led_to(page, folder, cards);
            await seen_and_sized(page, viewport);
        }
        await page.context().close();
    }
    for (const paper of [{ format: "A4" }, { format: "Letter", landscape: true }]) {
        const page = await open(DESK, "light");
        await printed_whole(page, paper);
        await page.context().close();
    }
    const outside = asked.filter((url) => !url.startsWith(pathToFileURL(join(folder, "proof.html")).href));
    assert.deepEqual(outside, [], "the page asks for nothing from outside");
    console.log(`${folder.split("/").pop()}/proof.html: ${pictures} pictures, on a desk, a telephone and paper`);
}

/** Every card can be read whole: nothing makes the page scroll sideways, no picture is cut off. */
async function read_whole(page, viewport, cards) {
    const seen = await page.evaluate(() => ({
        page: document.scrollingElement.scrollWidth,
        pictures: [...document.querySelectorAll(".paper > svg")].map((svg) => {
            const [, , width, height] = svg.getAttribute("viewBox").split(" ").map(Number);
            const box = svg.getBoundingClientRect();
            const clipping = svg.parentElement;
            return {
                width, height, left: box.left, right: box.right, shown: [box.width, box.height],
                scrolls: clipping.scrollWidth > clipping.clientWidth + 1,
            };
        }),
    }));
    assert.ok(seen.page <= viewport.width, `the page is ${seen.page} px wide on a screen of ${viewport.width}`);
    assert.ok(seen.pictures.length >= cards.length, "a picture of every side of every card");
    for (const { width, height, left, right, shown, scrolls } of seen.pictures) {
        assert.ok(left >= 0 && right <= viewport.width && !scrolls, `a card from ${left} to ${right} px`);
        assert.ok(shown[0] <= width * PIXELS_PER_MM + HALF_A_PIXEL, "no card is blown up");
        assert.ok(Math.abs(shown[0] / width - shown[1] / height) * height < 2 * HALF_A_PIXEL, "nor out of shape");
    }
    return seen.pictures.length;
}

/** axe-core finds nothing against the page: landmarks, headings, names of pictures, contrast, keyboard. */
async function sound_to_a_screen_reader(page) {
    await page.evaluate(AXE);
    const { violations, passes } = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ["violations"] }));
    const told = violations.map(({ id, help, nodes }) => `${id}: ${help}\n  ${nodes.map((node) => node.html).slice(0, 3).join("\n  ")}`);
    assert.deepEqual(told, []);
    assert.ok(passes.length > 10, "axe looked at the page");
}

/** The contents lead to each side of each card, and each leads on to its files, all of which are there. */
async function led_to(page, folder, cards) {
    const links = await page.evaluate(() => [...document.querySelectorAll("a")].map((link) => link.getAttribute("href")));
    const anchors = links.filter((link) => link.startsWith("#"));
    assert.deepEqual(anchors.map((link) => link.slice("#card-".length)).sort(), cards.map((card) => card.id).sort());
    for (const anchor of anchors) {
        const names = await page.evaluate((id) => [...document.querySelectorAll(`[id="${id}"]`)].map((it) => it.tagName), anchor.slice(1));
        assert.deepEqual(names, ["H3"], anchor);
    }
    const files = links.filter((link) => !link.startsWith("#"));
    assert.ok(files.length >= 2 * cards.length, "each card has a page and a picture");
    for (const file of files) {
        const [name, fragment] = file.split("#");
        assert.ok(existsSync(join(folder, decodeURI(name))), `${file} is there`);
        assert.ok(!name.endsWith(".pdf") || /^page=[1-9][0-9]*$/.test(fragment), file);
    }
    const card = cards.at(-1).id;
    await page.goto(`${page.url().split("#")[0]}#card-${card}`);
    const top = await page.evaluate((id) => document.getElementById(id).getBoundingClientRect().top, `card-${card}`);
    assert.ok(top >= 0 && top < page.viewportSize().height, "the last of them is in view when it is asked for");
}

/** The buttons do what they say, from the keyboard as well, without a script; what is wider than the screen then scrolls. */
async function seen_and_sized(page, viewport) {
    const filter = () => page.evaluate(() => getComputedStyle(document.querySelector(".paper > svg")).filter);
    assert.equal(await filter(), "none");
    await page.focus("#white-light");
    await page.keyboard.press("ArrowRight");
    assert.match(await filter(), /red-lamp/);
    await page.keyboard.press("ArrowLeft");
    assert.equal(await filter(), "none");
    await page.focus("#whole");
    await page.keyboard.press("ArrowRight");
    const wide = await page.evaluate((pixels) => {
        const papers = [...document.querySelectorAll(".paper")];
        const true_size = papers.every((paper) => {
            const svg = paper.querySelector("svg");
            const width = Number(svg.getAttribute("viewBox").split(" ")[2]);
            return Math.abs(svg.getBoundingClientRect().width - width * pixels) < 1;
        });
        return { true_size, scrolling: papers.findIndex((paper) => paper.scrollWidth > paper.clientWidth + 1) };
    }, PIXELS_PER_MM);
    assert.ok(wide.true_size, "about true size");
    assert.ok(await page.evaluate(() => document.scrollingElement.scrollWidth) <= viewport.width, "the page itself stays put");
    if (wide.scrolling >= 0) {
        const paper = page.locator(".paper").nth(wide.scrolling);
        await paper.focus();
        await page.keyboard.press("ArrowRight");
        await page.waitForFunction((index) => document.querySelectorAll(".paper")[index].scrollLeft > 0, wide.scrolling);
    } else {
        assert.ok(viewport.width > TELEPHONE.width, "a telephone is narrower than some card");
    }
}

/** On paper each card stands whole under its own caption, with the words that keep anyone from measuring on it. */
async function printed_whole(page, paper) {
    const expected = await page.evaluate(() => [...document.querySelectorAll("figure")].map((figure, number) => {
        // A word in each corner of the card and one in its caption, to be found again in what is printed.
        const svg = figure.querySelector(".paper > svg");
        const [, , width, height] = svg.getAttribute("viewBox").split(" ").map(Number);
        // Small enough for two side by side, large enough on a long strip, which is printed small.
        const size = Math.min(width, height) / 10;
        const inset = size / 2;
        for (const [corner, x, y] of [["nw", inset, size], ["ne", width - inset, size], ["sw", inset, height - inset], ["se", width - inset, height - inset]]) {
            const text = document.createElementNS("http://www.w3.org/2000/svg", "text");
            text.textContent = `q${number}${corner}`;
            text.setAttribute("x", x);
            text.setAttribute("y", y);
            text.setAttribute("font-size", size);
            text.setAttribute("text-anchor", corner.endsWith("w") ? "start" : "end");
            svg.append(text);
        }
        figure.querySelector("figcaption").append(` q${number}caption`);
        figure.querySelector(".not-to-scale").textContent += ` q${number}scale`;
        return [number, width / height];
    }));
    const file = join(scratch, "printed.pdf");
    await page.pdf({ path: file, ...paper, printBackground: false, preferCSSPageSize: false });
    const pages = execFileSync("pdftotext", ["-bbox", file, "-"], { encoding: "utf8", maxBuffer: 1 << 28 }).split("<page ").slice(1);
    const found = new Map();
    pages.forEach((text, index) => {
        const [, width, height] = /width="([0-9.]+)" height="([0-9.]+)"/.exec(text);
        for (const [, x0, y0, x1, y1, word] of text.matchAll(/<word xMin="([-0-9.]+)" yMin="([-0-9.]+)" xMax="([-0-9.]+)" yMax="([-0-9.]+)">([^<]*)</g)) {
            if (/^q[0-9]+[a-z]+$/.test(word)) {
                const box = [x0, y0, x1, y1].map(Number);
                const inside = box[0] >= 0 && box[1] >= 0 && box[2] <= Number(width) && box[3] <= Number(height);
                assert.ok(inside, `${word} lies over the edge of page ${index + 1}: ${box}`);
                assert.ok(!found.has(word), `${word} is printed once`);
                found.set(word, { page: index + 1, box });
            }
        }
        assert.ok(!/On this page/.test(text), "the contents are for the screen");
    });
    const least = POINTS_PER_MM;
    for (const [number, shape] of expected) {
        const part = (name) => found.get(`q${number}${name}`) ?? assert.fail(`card ${number + 1} was printed without its ${name}`);
        const corners = ["nw", "ne", "sw", "se"].map(part);
        const all = [part("caption"), part("scale"), ...corners];
        assert.equal(new Set(all.map(({ page }) => page)).size, 1, `card ${number + 1} lies on one page with its caption`);
        assert.ok(part("caption").box[3] <= corners[0].box[3], `the caption of card ${number + 1} is above it`);
        const [left, top, right, bottom] = [corners[0].box[0], corners[0].box[1], corners[3].box[2], corners[3].box[3]];
        assert.ok(right - left > least && bottom - top > least, `card ${number + 1} is to be seen`);
        const off = Math.abs(Math.log((right - left) / (bottom - top) / shape));
        assert.ok(off < 0.2, `card ${number + 1} has its own shape: ${right - left} by ${bottom - top} for ${shape}`);
    }
    const text = execFileSync("pdftotext", [file, "-"], { encoding: "utf8", maxBuffer: 1 << 28 });
    assert.equal(text.match(/NOT TO SCALE/g)?.length, expected.length, "and each says that it is not to scale");
}
