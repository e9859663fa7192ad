// A home from nothing: one question after the other, each answer judged by the program.

import { asked, by } from './asking.js';

export function interview(done) {
  const answers = [];
  let question = null;

  async function next(given) {
    let answer;
    try {
      answer = await asked('ask', { answers: given });
    } catch (wrong) {
      by('ask-fault').textContent = wrong.message;
      return;
    }
    if (answer.text !== undefined) {
      by('ask').hidden = true;
      done(answer.text);
      return;
    }
    answers.splice(0, answers.length, ...given.slice(0, answer.answered));
    question = answer.question;
    by('ask-text').textContent = question.default ? `${question.text} [${question.default}]` : question.text;
    by('ask-how').textContent = question.how;
    by('ask-meaning').textContent = answer.meaning ? `${answer.meaning}. Right? If not, go back.` : '';
    by('ask-fault').textContent = answer.fault || '';
    by('ask-back').disabled = answers.length === 0;
    by('ask-more').hidden = !question.more;
    const input = by('ask-answer');
    if (!answer.fault) input.value = '';
    input.placeholder = question.default || '';
    input.focus();
  }

  by('ask').hidden = false;
  by('ask-form').addEventListener('submit', (event) => {
    event.preventDefault();
    const said = by('ask-answer').value;
    next(said.trim() === '<' ? answers.slice(0, -1) : [...answers, said]);
  });
  by('ask-back').addEventListener('click', () => next(answers.slice(0, -1)));
  by('ask-more').addEventListener('click', () => next([...answers, '+']));
  next([]);
}
