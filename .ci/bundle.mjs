// Builds the viewer of the page from its source, and three with it, into one
// script that carries three's licence.
//
//   node bundle.mjs FILE
import { build } from "esbuild";
import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";

const tools = new URL("node_modules/", import.meta.url);
const licence = await readFile(new URL("three/LICENSE", tools), "utf8");
await build({
  entryPoints: [fileURLToPath(new URL("../assets/web/src/viewer.js", import.meta.url))],
  outfile: process.argv[2],
  bundle: true,
  minify: true,
  format: "iife",
  target: "es2022",
  charset: "ascii",
  legalComments: "none", // the whole licence stands at the head instead
  banner: { js: `/*! with three.js (three ${(JSON.parse(await readFile(new URL("three/package.json", tools), "utf8"))).version})\n\n${licence.trim()}\n*/` },
  nodePaths: [fileURLToPath(tools)],
  logLevel: "warning",
});
