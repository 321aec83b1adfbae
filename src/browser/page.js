// The page that computes: what is typed goes to the module as keys that win over the scenario, and
// what the module shows of its answers goes into the page. All words and all markup come from
// there.
'use strict';
(async () => {
  const at = (id) => document.getElementById(id);
  const start = JSON.parse(at('start').textContent);
  const fields = [...document.querySelectorAll('[data-key]')];
  const parts = [...document.querySelectorAll('.live')];
  const general = at('general');
  let ask, compiled;

  async function unpacked() {
    const text = atob(at('module').textContent);
    const packed = new Uint8Array(text.length);
    for (let i = 0; i < packed.length; ++i) packed[i] = text.charCodeAt(i);
    const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip'));
    return new Response(stream).arrayBuffer();
  }

  try {
    compiled = await WebAssembly.compile(await unpacked());
    ask = await openModule(compiled);
    if (ask({
          command: 'scenario',
          scenario: start.scenario,
          name: start.name,
          files: start.files,
          given: start.given
        }).error)
      throw new Error();
  } catch (error) {
    // The page stays as it was made.
    at('broken').hidden = false;
    return;
  }

  // What is typed: keys that differ from the scenario, and readings.
  const typed = new Map();
  let readings = [];

  function given() {
    const all = new Map(start.given);
    for (const [key, text] of typed) all.set(key, text);
    return [...all];
  }

  function request(command, more) {
    const all = {command, given: given(), ...more};
    for (const name
             of ['name', 'scenario', 'files', 'units', 'seed', 'precision', 'cases', 'method', 'date', 'language']) {
      if (name in start) all[name] = start[name];
    }
    return all;
  }

  function plainRequest() { return typed.size === 0; }

  // The address carries what is typed.
  function toAddress() {
    const all = new URLSearchParams(typed);
    for (const one of readings) all.append('reading', one);
    const text = all.toString();
    if (location.hash.slice(1) === text) return;
    history.replaceState(null, '', text ? '#' + text : location.href.replace(/#.*$/, ''));
  }

  function fromAddress() {
    typed.clear();
    readings = [];
    for (const [key, text] of new URLSearchParams(location.hash.slice(1))) {
      key === 'reading' ? readings.push(text) : typed.set(key, text);
    }
    for (const field of fields) {
      field.value = typed.get(field.dataset.key) ?? field.dataset.start;
    }
  }

  // A refusal stands at each field of its key, else above the answers.
  function clearErrors() {
    general.textContent = '';
    if (at('reading-error')) at('reading-error').textContent = '';
    for (const field of fields) {
      field.removeAttribute('aria-invalid');
      at(field.id + '-error').textContent = '';
    }
  }

  function complain(answer) {
    if (answer.key === 'reading') {
      at('reading-error').textContent = answer.error;
      return;
    }
    let found = false;
    for (const field of fields) {
      if (field.dataset.key !== answer.key) continue;
      field.setAttribute('aria-invalid', 'true');
      at(field.id + '-error').textContent = answer.error;
      found = found || field.offsetParent !== null;
    }
    if (!found) general.textContent = answer.error;
  }

  function paragraph(text, style) {
    const made = document.createElement('p');
    made.textContent = text;
    if (style) made.className = style;
    if (style === 'error') made.lang = 'en';
    return made;
  }

  function show(id, answer) { at(id).innerHTML = answer.shows; }

  function showReadings() {
    at('readings-part').hidden = readings.length === 0;
    at('readings').replaceChildren(...readings.map((text, i) => {
      const item = document.createElement('li');
      const remove = document.createElement('button');
      remove.type = 'button';
      remove.textContent = start.words['live.reading.remove'].replace('{1}', text);
      remove.addEventListener('click', () => {
        readings.splice(i, 1);
        changed();
        at('reading-when').focus();
      });
      item.append(text + ' ', remove);
      return item;
    }));
  }

  // What takes long is computed in a worker, one thing after another: what the road needs first,
  // then the rest of the page. A newer wish ends the one that is computed.
  let worker, queue = [];

  function background(wishes) {
    if (worker && queue.length > 0) {
      worker.terminate();
      worker = undefined;
    }
    queue = wishes;
    next();
  }

  const firstly = () => queue.filter((wish) => wish.first);

  // Where no worker is to be had all is computed here, one thing between two looks at the fields.
  let alone = false;

  function opened() {
    const code = at('opening').textContent +
        'let ask; onmessage = async ({data}) => { ask = ask || await openModule(data.compiled);' +
        ' postMessage(ask(data.request)); };';
    const address = URL.createObjectURL(new Blob([code], {type: 'text/javascript'}));
    const fresh = new Worker(address);
    URL.revokeObjectURL(address);
    fresh.onmessage = ({data}) => {
      if (fresh !== worker) return;
      queue.shift().done(data);
      next();
    };
    fresh.onerror = () => {
      alone = true;
      if (fresh === worker) next();
    };
    return fresh;
  }

  function next() {
    if (queue.length === 0) return;
    const [wish] = queue;
    if (alone) {
      setTimeout(() => {
        if (queue[0] !== wish) return;
        queue.shift();
        wish.done(ask(wish.request));
        next();
      }, 0);
      return;
    }
    try {
      worker = worker || opened();
      worker.postMessage({compiled, request: wish.request});
    } catch (error) {
      alone = true;
      next();
    }
  }

  // The guide as it was made fits only what it was made for.
  const made = at('guide').innerHTML;
  let guideOf = JSON.stringify(given());

  function showGuide(markup, of) {
    at('guide').innerHTML = markup;
    at('guide').hidden = false;
    at('stale').hidden = true;
    guideOf = of;
  }

  function answersWish(command) {
    const place = document.createElement('div');
    const done = (answer) => {
      const text = document.createElement('pre');
      text.textContent = answer.error || answer.text;
      if (answer.error) text.lang = 'en';
      text.tabIndex = 0;
      const title = document.createElement('h4');
      title.textContent = start.words['live.answer.' + command];
      place.replaceChildren(title, text);
      if (!answer.picture) return;
      const picture = new Image();
      picture.alt = answer.alt;
      picture.style.width = '100%';
      picture.src = 'data:image/svg+xml,' + encodeURIComponent(answer.picture);
      place.append(picture);
    };
    return {place, wish: {request: request(command, {text: true, readings}), done}};
  }

  // What follows the road's answers: the guide anew, and in the workshop all answers.
  function rest(refused) {
    const wishes = [];
    const of = JSON.stringify(given());
    if (plainRequest()) {
      showGuide(made, of);
    } else if (refused) {
      at('guide').hidden = true;
    } else if (of !== guideOf || at('guide').hidden) {
      at('guide').hidden = true;
      at('stale').hidden = false;
      wishes.push({
        request: request('guide'),
        done: (answer) => {
          if (answer.error) return complain(answer);
          showGuide(answer.sections, of);
        }
      });
    }
    at('answers').replaceChildren();
    if (at('workshop-details').open && !refused) {
      const commands =
          ['chance', 'fill', 'heel', 'arrive', ...(readings.length > 0 ? ['update'] : [])];
      for (const {place, wish} of commands.map(answersWish)) {
        at('answers').append(place);
        wishes.push(wish);
      }
    }
    return wishes;
  }

  // The waiting table, and the odds given the readings.
  function road(answered) {
    const wishes = [];
    const wish = (command, more, done) => wishes.push({
      first: true,
      request: request(command, more),
      done: (answer) => {
        done(answer);
        answered();
      }
    });
    wish('arrive', {}, (arrive) => {
      if (!arrive.error) return show('waiting', arrive);
      arrive.key ? complain(arrive) : at('waiting').append(paragraph(arrive.error, 'error'));
    });
    if (readings.length === 0) return wishes;
    wish('update', {readings}, (odds) => {
      if (!odds.error) return show('odds', odds);
      at('odds').replaceChildren(paragraph(start.words['live.not_yet'], 'verdict stay'));
      odds.key ? complain(odds) : at('odds').append(paragraph(odds.error, 'error'));
    });
    return wishes;
  }

  // One round of answers; a newer one ends it at the next pause. Old answers go first: nobody
  // must follow one that is not of what stands in the fields.
  let round = 0;
  const pause = () => new Promise((resolve) => setTimeout(resolve, 0));

  async function changed() {
    const mine = ++round;
    background([]);
    clearErrors();
    toAddress();
    showReadings();
    at('copy').hidden = true;
    for (const id of ['legs', 'plan', 'chance', 'waiting']) at(id).replaceChildren();
    at('plan').append(paragraph(start.words['live.computing'], 'soft'));
    at('odds').replaceChildren(paragraph(
        readings.length > 0 ? start.words['live.computing'] : start.words['live.no_reading'],
        'verdict stay'));
    const asked = async (command) => {
      await pause();
      return mine === round ? ask(request(command)) : undefined;
    };
    let open = 1;
    const answered = () => {
      if (--open === 0 && mine === round) document.body.dataset.answered = String(mine);
    };
    const chance = await asked('chance');
    if (!chance) return;
    if (chance.error) {
      at('plan').replaceChildren();
      if (readings.length > 0) {
        at('odds').replaceChildren(paragraph(start.words['live.not_yet'], 'verdict stay'));
      }
      complain(chance);
      background(rest(true));
      return answered();
    }
    show('chance', chance);
    at('legs').innerHTML = chance.legs ?? '';
    // Where the scenario says nothing of the line, there is nothing to tell of the road.
    at('road-part').hidden = !chance.line;
    const wishes = chance.line ? road(answered) : [];
    open += wishes.length;
    background([...wishes, ...rest(false)]);
    if (chance.done) {
      at('plan').replaceChildren();
    } else {
      const fill = await asked('fill');
      if (!fill) return;
      fill.error ? at('plan').replaceChildren(paragraph(fill.error, 'error')) : show('plan', fill);
    }
    answered();
  }

  let waits;
  for (const field of fields) {
    const take = () => {
      const {key} = field.dataset;
      const text = field.value.trim();
      if (text === '' || text === field.dataset.start)
        typed.delete(key);
      else
        typed.set(key, text);
      for (const other of fields) {
        if (other !== field && other.dataset.key === key) other.value = field.value;
      }
    };
    field.addEventListener('input', () => {
      take();
      clearTimeout(waits);
      waits = setTimeout(changed, field.tagName === 'SELECT' ? 0 : 250);
    });
    field.addEventListener('change', () => {
      if (field.value.trim() !== '') return;
      field.value = field.dataset.start;
    });
  }
  for (const form of document.forms)
    form.addEventListener('submit', (event) => event.preventDefault());
  at('reading-form').addEventListener('submit', () => {
    const when = at('reading-when'), what = at('reading-what');
    if (when.value.trim() + what.value.trim() === '') return;
    readings.push(when.value.trim() + ': ' + what.value.trim());
    when.value = what.value = '';
    when.focus();
    changed();
  });
  at('workshop-details').addEventListener('toggle', () => {
    const refused = fields.some((field) => field.hasAttribute('aria-invalid')) ||
        general.textContent !== '';
    background([...firstly(), ...rest(refused)]);
  });

  function copy(text) {
    at('copy').textContent = text;
    at('copy').hidden = false;
    at('copy').focus();
  }
  at('as-scenario').addEventListener('click', () => {
    const answer = ask(request('scenario'));
    copy(answer.error || answer.text);
  });
  at('as-command').addEventListener('click', () => {
    const quoted = (text) =>
        /^[\w.\/-]+$/.test(text) ? text : '\'' + text.replaceAll('\'', '\'\\\'\'') + '\'';
    copy([
      'blendrisk', 'chance', quoted(start.name),
      ...given().flatMap(([key, text]) => ['--' + key, quoted(text)])
    ].join(' '));
  });
  window.addEventListener('hashchange', () => {
    fromAddress();
    changed();
  });

  for (const part of parts) part.hidden = false;
  fromAddress();
  changed();
})();
