// In the worker: commands of the planner, one after the other, on files in memory. `ampturnPlanner` stands above, from the compiler.
let planner, ready;
const folder = '/work/';

function put(path, bytes) {
  const whole = folder + path;
  planner.FS.mkdirTree(whole.slice(0, whole.lastIndexOf('/')));
  planner.FS.writeFile(whole, bytes);
}

function take(path, found) {
  const fs = planner.FS, whole = folder + path;
  if (!fs.analyzePath(whole).exists) return;
  if (fs.isDir(fs.stat(whole).mode)) {
    for (const name of fs.readdir(whole)) if (name !== '.' && name !== '..') take(path + '/' + name, found);
  } else {
    found[path] = fs.readFile(whole);
    fs.unlink(whole);
  }
}

async function begin(module) {
  planner = await ampturnPlanner({
    instantiateWasm(imports, done) {
      WebAssembly.instantiate(module, imports).then((instance) => done(instance, module));
      return {};
    },
  });
  planner.FS.mkdir('/work');
  planner.FS.chdir('/work');
}

function command({words, files, out}) {
  for (const [path, bytes] of Object.entries(files ?? {})) put(path, bytes);
  const code = planner.ccall('ampturn_command', 'number', ['string'], [JSON.stringify(words)]);
  const text = (name) => new TextDecoder().decode(planner.FS.readFile(name));
  const answer = {code, said: text('/said'), complained: text('/complained'), files: {}};
  for (const path of out ?? []) take(path, answer.files);
  return answer;
}

onmessage = async ({data}) => {
  if (data.module) {
    ready = begin(data.module);
    return;
  }
  await ready;
  const started = performance.now();
  let answer;
  try {
    answer = command(data);
  } catch (error) {
    ready = begin(data.again);  // what died is not asked again
    answer = {code: 3, said: '', complained: 'ampturn: the planner stopped: ' + error + '\n', files: {}};
  }
  postMessage({...answer, id: data.id, ms: performance.now() - started});
};
