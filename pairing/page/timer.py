"""The clock of a step: a little script; without it the page says everything but the time left."""

from __future__ import annotations

__all__ = ["SCRIPT"]

# The end of a running clock is kept in the browser, so that it goes on after a reload.
SCRIPT = """
(function(){
var store={get:function(k){try{return localStorage.getItem(k)}catch(e){return null}},
set:function(k,v){try{v===null?localStorage.removeItem(k):localStorage.setItem(k,v)}catch(e){}}};
var base='clock '+location.pathname+location.search+' ';
function beep(){try{var A=window.AudioContext||window.webkitAudioContext,c=new A(),
o=c.createOscillator();o.connect(c.destination);o.frequency.value=880;o.start();
o.stop(c.currentTime+0.6)}catch(e){}}
Array.prototype.forEach.call(document.querySelectorAll('[data-minutes]'),function(d,i){
var all=Math.round(60*parseFloat(d.getAttribute('data-minutes')));if(!(all>0&&all<=604800))return;
var key=base+i,b=document.createElement('button'),said=document.createElement('span'),t=null,
end=0,shown=-1;
b.type='button';b.className='clock';said.className='told';said.setAttribute('role','status');
d.appendChild(b);d.appendChild(said);
function two(n){return(n<10?'0':'')+n}
function words(s){var h=Math.floor(s/3600),m=Math.floor(s%3600/60);
return(h?h+':'+two(m):m)+':'+two(s%60)}
function idle(text){clearInterval(t);t=null;b.textContent='Start '+words(all);
said.textContent=text;store.set(key,null)}
function tick(){var left=Math.ceil((end-Date.now())/1000);
if(left<=0){beep();idle('Time is up.');return}
if(left!==shown){shown=left;b.textContent=words(left)+' left, stop'}}
function run(){said.textContent='';shown=-1;t=setInterval(tick,250);tick()}
b.addEventListener('click',function(){if(t){idle('Stopped.');return}
end=Date.now()+1000*all;store.set(key,String(end));run()});
var kept=Number(store.get(key));
if(kept>0&&kept-Date.now()<=1000*all+1000){end=kept;run()}else idle('')});
})();
"""
