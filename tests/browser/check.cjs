// Holds the module of the page against the program: every answer of every example, as text too for
// some, options, lines of refused input, and how much memory it takes.
//
// usage: node check.cjs PROGRAM MODULE.wasm   (run in the project's directory)
'use strict';
const {execFileSync, spawnSync} = require('node:child_process');
const fs = require('node:fs');
const path = require('node:path');

const [program, wasm] = process.argv.slice(2);
const openModule = new Function(
    fs.readFileSync('src/browser/opening.js', 'utf8') + '; return openModule;')();
const examples = fs.readdirSync('examples').filter((name) => name.endsWith('.ini')).sort();
const filesOf = (text) => {
  const files = {};
  for (const [, name] of text.matchAll(/measured\("([^"]+)"/g)) {
    files[name] = fs.readFileSync(path.join('examples', name), 'utf8');
  }
  return files;
};
let compared = 0;

// Where two answers differ by more than 1e-9.
function differences(ours, theirs, at = '') {
  // Searches count their steps, of which a last digit may take one more.
  if (at === '/elapsed_s' || at === '/evaluations') return [];
  if (typeof theirs === 'number' && typeof ours === 'number') {
    ++compared;
    return Math.abs(ours - theirs) <= Math.max(1e-9 * Math.abs(theirs), 1e-15) ? [] : [`${at} is ${ours}, ${theirs} in the program`];
  }
  if (theirs !== null && typeof theirs === 'object' && ours !== null && typeof ours === 'object') {
    const names = new Set([...Object.keys(theirs), ...Object.keys(ours)]);
    return [...names].flatMap((name) => differences(ours[name], theirs[name], `${at}/${name}`));
  }
  return ours === theirs ? [] : [`${at} is ${JSON.stringify(ours)}, ${JSON.stringify(theirs)} in the program`];
}

function natively(command, scenario, rest) {
  const run = spawnSync(program, [command, scenario, ...rest, '--json'], {encoding: 'utf8'});
  return run.status === 0 ? {answer: JSON.parse(run.stdout)} :
      {error: run.stderr.trimEnd().replace(/^blendrisk: /, '')};
}

async function main() {
  const ask = await openModule(await WebAssembly.compile(fs.readFileSync(wasm)));
  const problems = [];
  const slow = {};
  const compare = (command, name, request, rest) => {
    const scenario = path.join('examples', name);
    const text = fs.readFileSync(scenario, 'utf8');
    const start = process.cpuUsage().user;
    const ours = ask({command, scenario: text, name: scenario, files: filesOf(text), ...request});
    const took = (process.cpuUsage().user - start) / 1000;
    slow[command] = Math.max(slow[command] || 0, took);
    const theirs = natively(command, scenario, rest);
    const wrong = theirs.error ?
        (ours.error === theirs.error ? [] : [`says ${JSON.stringify(ours.error || ours)}, the program ${theirs.error}`]) :
        ours.error ? [`says ${ours.error}, and the program answers`] :
        differences(ours.answer, theirs.answer);
    for (const one of wrong) problems.push(`${command} ${scenario} ${rest.join(' ')}: ${one}`);
  };
  // Words and pictures too: what the module leaves out must not be missing.
  const compareText = (command, name, readings = []) => {
    const scenario = path.join('examples', name);
    const text = fs.readFileSync(scenario, 'utf8');
    const ours = ask({command, scenario: text, name: scenario, files: filesOf(text), readings, text: true});
    const theirs = spawnSync(program, [command, scenario, ...readings.flatMap((one) => ['--reading', one])],
                             {encoding: 'utf8'}).stdout;
    // A search counts its steps, of which a last digit may take one more.
    const uncounted = (lines) => lines.trim().replace(/evaluations +[0-9]+/, '');
    if (uncounted(ours.text) !== uncounted(theirs)) {
      problems.push(`${command} ${scenario} says\n${ours.text}\nand the program\n${theirs}`);
    }
  };
  for (const name of examples) {
    for (const command of ['chance', 'fill', 'heel', 'arrive']) compare(command, name, {}, []);
    compare('update', name, {readings: ['0.3 L: 57 %', '1 L: 62 %']},
            ['--reading', '0.3 L: 57 %', '--reading', '1 L: 62 %']);
  }
  const wagon = 'wagon-line.ini';
  for (const name of [wagon, 'hatchback-metered.ini', 'van-two-fills.ini']) {
    for (const command of ['chance', 'fill', 'heel']) compareText(command, name);
  }
  compareText('arrive', wagon);
  compareText('update', wagon, ['0.3 L: 57 %', '1 L: 62 %']);
  compare('arrive', wagon, {units: 'us', seed: 7}, ['--units', 'us', '--seed', '7']);
  compare('chance', wagon, {precision: 0.05}, ['--precision', '5 %']);
  compare('chance', wagon, {cases: 4096, method: 'crude'}, ['--cases', '4096', '--method', 'crude']);
  for (const [key, value] of [['heel.indicated', '9 L'], ['heel.indicated', 'nine'], ['heel.indicated', '9'],
                              ['heel.indicated', '900 L'], ['fuel.content', 'E85'],
                              ['limits.accepted-risk', '2 in 100'], ['fill.shown', '40 L']]) {
    for (const command of ['chance', 'fill']) {
      compare(command, wagon, {given: [[key, value]]}, [`--${key}`, value]);
    }
  }
  compare('update', wagon, {readings: ['0.3 L 57 %']}, ['--reading', '0.3 L 57 %']);
  compare('update', wagon, {readings: ['much: 57 %']}, ['--reading', 'much: 57 %']);
  // The comparison itself, on an answer that is wrong in one digit.
  const twin = differences({a: [{b: 1.00000001}]}, {a: [{b: 1}]});
  if (twin.length !== 1) problems.push('a number that is off by 1e-8 passes');
  if (compared < 1000) problems.push(`only ${compared} numbers were compared`);
  if (ask.bytes() > 64 * 2 ** 20) problems.push(`the module takes ${ask.bytes()} bytes`);
  for (const one of problems) console.log(one);
  const times = Object.entries(slow).map(([command, ms]) => `${command} ${ms.toFixed(0)} ms`).join(', ');
  console.log(`${compared} numbers compared, ${problems.length} problems; slowest: ${times}; ` +
              `${(ask.bytes() / 2 ** 20).toFixed(0)} MB`);
  process.exit(problems.length === 0 ? 0 : 1);
}

main();
