// The planner's WebAssembly in Node: plays jobs and prints what became of them, a line of JSON each.
//
//     node planner_in_node.mjs PLANNER_JS < jobs
//
// A job is a line {"words": [...], "files": {path: base64}, "out": [folders or files to read back], "fresh": bool}; the answer
// {"code", "said", "complained", "files": {path: base64}}. Files stay from job to job, until one is fresh. Standard output and error
// are base64 too.
import {createRequire} from 'node:module';
import {readFileSync} from 'node:fs';
import {dirname, join, resolve} from 'node:path';
import {createInterface} from 'node:readline';

const script = resolve(process.argv[2]);
const make = createRequire(import.meta.url)(script);
const compiled = new WebAssembly.Module(readFileSync(join(dirname(script), 'planner.wasm')));

async function fresh() {
  const planner = await make({
    instantiateWasm(imports, done) {
      const instance = new WebAssembly.Instance(compiled, imports);
      done(instance, compiled);
      return instance.exports;
    },
  });
  planner.FS.mkdir('/work');
  planner.FS.chdir('/work');
  return planner;
}

function put(fs, path, bytes) {
  const folder = dirname(resolve('/work', path));
  fs.mkdirTree(folder);
  fs.writeFile(resolve('/work', path), bytes);
}

function take(fs, path, found) {
  const whole = resolve('/work', path);
  if (!fs.analyzePath(whole).exists) return;
  if (fs.isDir(fs.stat(whole).mode)) {
    for (const name of fs.readdir(whole)) if (name !== '.' && name !== '..') take(fs, join(path, name), found);
  } else {
    found[path] = Buffer.from(fs.readFile(whole)).toString('base64');
  }
}

process.setMaxListeners(0);  // every fresh planner listens for what ends the process
let planner;
for await (const line of createInterface({input: process.stdin})) {
  const job = JSON.parse(line);
  if (!planner || job.fresh) planner = await fresh();
  for (const [path, bytes] of Object.entries(job.files ?? {})) put(planner.FS, path, Buffer.from(bytes, 'base64'));
  const answer = {files: {}};
  try {
    answer.code = planner.ccall('ampturn_command', 'number', ['string'], [JSON.stringify(job.words)]);
  } catch (error) {
    answer.died = String(error.stack ?? error);
  }
  for (const name of ['said', 'complained']) answer[name] = Buffer.from(planner.FS.readFile('/' + name)).toString('base64');
  for (const path of job.out ?? []) take(planner.FS, path, answer.files);
  if (answer.died) planner = undefined;
  process.stdout.write(JSON.stringify(answer) + '\n');
}
